package vault_test

import (
	"context"
	"fmt"
	"strings"

	"vialwright/store/vault"
)

// A key that is too long is refused before the vault is looked at, with the
// way out.
func ExampleCheck() {
	fmt.Println(vault.Check(context.Background(), vault.Drafts, "RP1 draw", nil))
	fmt.Println(vault.Check(context.Background(), vault.Drafts, strings.Repeat("k", 300), nil) != nil)
	fmt.Println(vault.Check(context.Background(), "elsewhere", "RP1 draw", nil) != nil)
	// Output:
	// <nil>
	// true
	// true
}

package accounts_test

import (
	"fmt"

	"vialwright/accounts"
)

// A first password is read from a screen once.
func ExampleFirstPassword() {
	fmt.Println(accounts.FirstPassword([10]byte{0: 1, 9: 255}))
	// Output: aeaa-aaaa-aaaa-aah7
}

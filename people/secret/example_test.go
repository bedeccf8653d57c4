package secret_test

import (
	"context"
	"errors"
	"fmt"

	"vialwright/people/secret"
)

// A password is kept, and compared with. The small parameters are for the
// example; without them the hash costs what RFC 9106 recommends.
func ExampleKeeper() {
	keeper, err := secret.New(secret.Options{Params: secret.Params{KiB: 64, Passes: 1, Lanes: 1}})
	if err != nil {
		fmt.Println(err)
		return
	}
	ctx, mine := context.Background(), keeper.Of("RP1", "password")
	kept, err := mine.Hash(ctx, "nine green lamps sing")
	fmt.Println(kept[:28], err)
	for _, typed := range []string{"nine green lamps sing", "nine green camps sing"} {
		result, err := mine.Check(ctx, typed, kept)
		fmt.Println(result.Right, result.Renew, err)
	}
	// Output:
	// $of-account$argon2id$v=19$m= <nil>
	// true false <nil>
	// false false <nil>
}

// Passwords and PINs of one program share a gate, so that a rush of people
// signing in cannot take the machine's memory. Once there are dearer
// parameters, what was kept before goes on working and asks to be renewed.
func ExampleResult() {
	gate := secret.NewGate(2)
	before, _ := secret.New(secret.Options{Params: secret.Params{KiB: 64, Passes: 1, Lanes: 1}, Gate: gate})
	now, _ := secret.New(secret.Options{Params: secret.Params{KiB: 128, Passes: 2, Lanes: 1}, Gate: gate})
	ctx := context.Background()
	kept, _ := before.Of("RP1", "pin").Hash(ctx, "5193")
	mine := now.Of("RP1", "pin")
	result, err := mine.Check(ctx, "5193", kept)
	fmt.Println(result.Right, result.Renew, err)

	_, err = mine.Check(ctx, "5193", "damaged")
	var problem *secret.Error
	fmt.Println(errors.As(err, &problem), problem.Code)
	// Output:
	// true true <nil>
	// true stored
}

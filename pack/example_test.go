package pack_test

import (
	"fmt"

	"vialwright/pack"
)

// What is kept of an invented draw, in as many bytes as it needs.
func Example() {
	type draw struct {
		From, By string
		Entry    int
	}
	var texts pack.Texts
	w := &pack.Writer{}
	w.Value(&draw{"V1", "NT1", 17}, &texts)
	var read draw
	pack.NewReader(w.Buf).Value(&read, &texts)
	fmt.Println(len(w.Buf), "bytes:", read)
	// Output:
	// 3 bytes: {V1 NT1 17}
}

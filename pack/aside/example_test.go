package aside_test

import (
	"fmt"
	"os"

	"vialwright/pack"
	"vialwright/pack/aside"
)

// Numbers that lie in a file while nobody looks at them.
func Example() {
	room := aside.New(os.TempDir(), func(err error) { fmt.Println(err) })
	defer room.Close()
	numbers := pack.Column[int64]{Room: room}
	for i := range 100_000 {
		numbers.Append(int64(i) * 3)
	}
	room.LetGo()
	fmt.Println(*numbers.At(2), numbers.Len())
	// Output:
	// 6 100000
}

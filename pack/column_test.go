package pack_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"vialwright/pack"
	"vialwright/pack/aside"
)

// rooms are where columns may lie: in the memory of the language, in a file, and in one
// that is full after three pieces.
func rooms(t *testing.T) map[string]func() pack.Room {
	file := func() *aside.Room {
		r := aside.New(t.TempDir(), func(err error) { t.Error(err) })
		t.Cleanup(func() { r.Close() })
		return r
	}
	return map[string]func() pack.Room{
		"none": func() pack.Room { return nil },
		"file": func() pack.Room { return file() },
		"full": func() pack.Room { return &full{file(), 3} },
	}
}

// full is a room that has so many pieces left.
type full struct {
	pack.Room
	left int
}

func (f *full) Piece() []byte {
	if f.left--; f.left < 0 {
		return nil
	}
	return f.Room.Piece()
}

// TestColumnIsASlice: whatever is appended, changed, let go and cleared, a column holds
// what a slice does, wherever it lies.
func TestColumnIsASlice(t *testing.T) {
	type value struct {
		a int32
		b [5]byte
	}
	for name, room := range rooms(t) {
		t.Run(name, func(t *testing.T) {
			in := room()
			rapid.Check(t, func(t *rapid.T) {
				c, model := pack.Column[value]{Room: in}, []value(nil)
				for range rapid.IntRange(1, 8).Draw(t, "steps") {
					more := make([]value, rapid.IntRange(0, 3000).Draw(t, "more"))
					for i := range more {
						more[i] = value{int32(len(model) + i), [5]byte{4: byte(i)}}
					}
					c.Append(more...)
					model = append(model, more...)
					zeros := rapid.IntRange(0, 2000).Draw(t, "zeros")
					c.Extend(len(model) + zeros)
					model = append(model, make([]value, zeros)...)
					if len(model) > 0 {
						at := rapid.IntRange(0, len(model)-1).Draw(t, "at")
						c.At(at).a, model[at].a = -7, -7
					}
					if in != nil {
						in.LetGo()
					}
					if rapid.IntRange(0, 9).Draw(t, "clear") == 0 {
						c.Clear()
						model = nil
					}
					from := rapid.IntRange(0, len(model)).Draw(t, "from")
					n := rapid.IntRange(0, len(model)-from).Draw(t, "n")
					if c.Len() != len(model) || !slices.Equal(c.Some(from, n), model[from:from+n]) || !slices.Equal(c.Some(0, c.Len()), model) {
						t.Fatalf("%d values, want %d, or others from %d to %d", c.Len(), len(model), from, from+n)
					}
				}
			})
		})
	}
}

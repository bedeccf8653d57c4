package pack_test

import (
	"maps"
	"math"
	"reflect"
	"runtime"
	"slices"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/pack"
)

// TestIndexIsAMap: an index is a map of lists, written and read again too, and whatever
// it was made from may change afterwards.
func TestIndexIsAMap(t *testing.T) {
	for name, room := range rooms(t) {
		t.Run(name, func(t *testing.T) { indexIsAMap(t, room()) })
	}
}

func indexIsAMap(t *testing.T, room pack.Room) {
	rapid.Check(t, func(t *rapid.T) {
		var x pack.Index
		x.In(room)
		model := map[string][]int{}
		add := func(s string, n int) {
			x.Add(s, n)
			model[s] = append(model[s], n)
		}
		for i := range rapid.SampledFrom([]int{0, 5000}).Draw(t, "others") { // more than one piece of each column
			add(strconv.Itoa(i), i+1)
		}
		for _, s := range rapid.SliceOf(rapid.StringMatching("[a-c]{0,3}")).Draw(t, "texts") {
			add(s, rapid.IntRange(1, math.MaxInt32).Draw(t, "number"))
		}
		w := &pack.Writer{}
		x.Write(w)
		var again pack.Index
		c := pack.NewReader(w.Buf)
		again.Read(c)
		if c.Err() != nil || c.Left() != 0 {
			t.Fatalf("%d bytes left: %v", c.Left(), c.Err())
		}
		for _, s := range append(slices.Collect(maps.Keys(model)), "none of them") {
			if !slices.Equal(x.Get(s), model[s]) || !slices.Equal(again.Get(s), model[s]) {
				t.Fatalf("%q: %v and %v, want %v", s, x.Get(s), again.Get(s), model[s])
			}
		}
	})
}

// TestReadAsWritten: each kind of value comes back as it was, and what is cut short is
// said to be, and never read as something else.
func TestReadAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type values struct {
			N       int
			Numbers []int
			Texts   []string
			At      time.Time
			X       float64
			Yes     bool
		}
		in := values{
			rapid.Int().Draw(t, "n"), rapid.SliceOfN(rapid.IntRange(-9, 1<<40), 1, 9).Draw(t, "numbers"), rapid.SliceOfN(rapid.String(), 1, 9).Draw(t, "texts"),
			time.Unix(rapid.Int64Range(-1<<33, 1<<33).Draw(t, "at"), 5).UTC(), rapid.Float64().Draw(t, "x"), rapid.Bool().Draw(t, "yes"),
		}
		w := &pack.Writer{}
		w.Number(in.N)
		w.Numbers(in.Numbers)
		w.Texts(in.Texts)
		w.Time(in.At)
		w.Float(in.X)
		w.Bool(in.Yes)
		read := func(c *pack.Reader) values {
			return values{c.Number(), c.Numbers(), c.Texts(), c.Time(), c.Float(), c.Bool()}
		}
		c := pack.NewReader(w.Buf)
		if out := read(c); !reflect.DeepEqual(in, out) || c.Err() != nil || c.Left() != 0 {
			t.Fatalf("%v, want %v: %v", out, in, c.Err())
		}
		cut := pack.NewReader(w.Buf[:rapid.IntRange(0, len(w.Buf)-1).Draw(t, "cut")])
		if read(cut); cut.Err() == nil {
			t.Fatal("what is cut short is read")
		}
	})
}

// TestAlike: a text that differs from another in letter case alone is found beside it,
// however many there are, and each keeps its own number.
func TestAlike(t *testing.T) {
	var texts pack.Texts
	if texts.Alike("a1") != -1 {
		t.Error("an empty one has what is alike")
	}
	const many = 300
	for i := range many {
		texts.Put("Vial-" + strconv.Itoa(i))
	}
	for i := range many {
		n := strconv.Itoa(i)
		if texts.Alike("vIAL-"+n) != i || texts.Find("vIAL-"+n) != -1 || texts.Alike("Vial-"+n) != -1 || texts.Alike("Vials"+n) != -1 {
			t.Fatalf("Vial-%d is alike to %d", i, texts.Alike("vIAL-"+n))
		}
	}
	if n := texts.Put("vIAL-7"); n != many || texts.Alike("Vial-7") != many || texts.Alike("vIAL-7") != 7 || texts.Find("Vial-7") != 7 {
		t.Errorf("two that are alike: %d, %d, %d", n, texts.Alike("Vial-7"), texts.Alike("vIAL-7"))
	}
}

// TestRefused: a number of parts that cannot be there, or one that cannot be held, is refused
// at once and without the memory that it asks for.
func TestRefused(t *testing.T) {
	var x pack.Index
	var v []struct{ A, B string }
	var texts pack.Texts
	texts.Put("the only one")
	huge := []int{1 << 28}
	for name, c := range map[string]struct {
		numbers []int
		read    func(*pack.Reader)
	}{
		"count":         {huge, func(c *pack.Reader) { c.Count() }},
		"below none":    {[]int{-1}, func(c *pack.Reader) { c.Count() }},
		"numbers":       {huge, func(c *pack.Reader) { c.Numbers() }},
		"texts":         {huge, func(c *pack.Reader) { c.Texts() }},
		"map":           {huge, func(c *pack.Reader) { pack.ReadMap(c, map[int]int{}, c.Number, c.Number) }},
		"index":         {huge, x.Read},
		"value":         {huge, func(c *pack.Reader) { c.Value(&v, &texts) }},
		"no such text":  {[]int{1, 0, 1}, func(c *pack.Reader) { c.Value(&v, &texts) }},
		"no 32 bits":    {[]int{1 << 31}, func(c *pack.Reader) { c.Int32() }},
		"index too far": {[]int{1, 0, 1, 1 << 31}, x.Read},
	} {
		w := &pack.Writer{}
		for _, n := range c.numbers {
			w.Number(n)
		}
		r := pack.NewReader(w.Buf)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		c.read(r)
		runtime.ReadMemStats(&after)
		if took := after.TotalAlloc - before.TotalAlloc; r.Err() == nil || r.Left() != 0 || took > 1<<20 {
			t.Errorf("%s: %v, %d bytes left, %d bytes taken", name, r.Err(), r.Left(), took)
		}
	}
	long := pack.NewReader([]byte{0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x02})
	if n := long.Number(); n != 0 || long.Err() == nil {
		t.Errorf("a number of 65 bits is read as %d", n)
	}
}

// TestNoSmaller: what does not fit into 32 bits is a fault, and never kept as another number.
func TestNoSmaller(t *testing.T) {
	for _, n := range []int{math.MaxInt32 + 1, math.MinInt32 - 1, math.MaxUint32} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%d is held in 32 bits", n)
				}
			}()
			var x pack.Index
			x.Add("a text", n)
		}()
	}
}

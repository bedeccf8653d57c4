package casefile

import (
	"fmt"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/plainyaml"
)

// binder puts the nodes of a case file into facts by the descriptors.
type binder struct {
	how fact.How
	// stack holds the descriptors of the groups being filled.
	stack []fact.Slot
	// at and want are those of the problem found: where it is, and what was
	// expected there.
	at   *plainyaml.Node
	want string
}

// stop is a problem at a node.
func (b *binder) stop(n *plainyaml.Node, want string, p *fact.Refusal) *fact.Refusal {
	b.at, b.want = n, want
	return p
}

// Value puts a node into its place.
func (b *binder) Value(n *plainyaml.Node, v fact.Value) *fact.Refusal {
	if n.Kind == plainyaml.Nothing {
		return b.stop(n, v.Want(), &fact.Refusal{Code: "empty", Msg: "nothing is written here"})
	}
	switch v := v.(type) {
	case fact.Scalar:
		return b.scalar(n, v)
	case fact.Grouped:
		if bad := b.kind(n, plainyaml.Mapping, v); bad != nil {
			return bad
		}
		return b.Group(n, v.Open())
	case fact.Listed:
		return b.list(n, v)
	case fact.Chosen:
		return b.chosen(n, v)
	}
	panic("journal: a value of no shape")
}

// kind asks for a node of one kind.
func (b *binder) kind(n *plainyaml.Node, k plainyaml.Kind, v fact.Value) *fact.Refusal {
	if n.Kind == k {
		return nil
	}
	return b.stop(n, v.Want(), &fact.Refusal{Code: "wrong-type", Msg: n.Kind.String() + " stands here"})
}

func (b *binder) scalar(n *plainyaml.Node, v fact.Scalar) *fact.Refusal {
	if bad := b.kind(n, plainyaml.Text, v); bad != nil {
		return bad
	}
	if _, number := v.(fact.Bare); number && n.Quoted {
		return b.stop(n, v.Want(), &fact.Refusal{Code: "wrong-type", Msg: "a text in quotes stands here", Hint: "write the number without quotes"})
	}
	if bad := v.Read(n.Text, b.how); bad != nil {
		return b.stop(n, v.Want(), bad)
	}
	return nil
}

// Group fills the fields of a group. It refuses, in this order: a key that is
// no field, the first value in the order of the file that does not fit its
// field, and a field that must be given and is not: what was typed wrong is told
// before what was not typed at all.
func (b *binder) Group(n *plainyaml.Node, g fact.Group) *fact.Refusal {
	start := len(b.stack)
	b.stack = fact.Slots(b.stack, g)
	defer func() { b.stack = b.stack[:start] }()
	return b.fill(n, b.stack[start:])
}

// fill is group for fields that are known.
func (b *binder) fill(n *plainyaml.Node, fields []fact.Slot) *fact.Refusal {
	if bad := b.respell(n, fields); bad != nil {
		return bad
	}
	for i := range n.Pairs() {
		if key := n.Key(i); find(fields, key.Text) == nil {
			return b.stop(key, "", unknownKey(key.Text, n.Val(i), fields))
		}
	}
	for i := range n.Pairs() {
		f := find(fields, n.Key(i).Text)
		if bad := b.Value(n.Val(i), f.V); bad != nil {
			return bad.In(f.Name)
		}
	}
	for _, f := range fields {
		if _, ok := n.Find(f.Name); f.Must && !ok {
			return b.stop(n, f.V.Want(), &fact.Refusal{Code: "missing", Msg: f.Name + " is missing"})
		}
	}
	return nil
}

// respell gives a key with the other spelling of a field its name. Both in one
// group are refused.
func (b *binder) respell(n *plainyaml.Node, fields []fact.Slot) *fact.Refusal {
	for _, f := range fields {
		v, ok := f.V.(fact.Respelling)
		if !ok {
			continue
		}
		for i := range n.Pairs() {
			key := n.Key(i)
			if key.Text != v.Old() {
				continue
			}
			if _, twice := n.Find(f.Name); twice {
				return b.stop(key, "", &fact.Refusal{Code: "duplicate-key", Msg: key.Text + " is another spelling of " + f.Name + ", and both stand here", Hint: "take one away"})
			}
			key.Text = f.Name
		}
	}
	return nil
}

func find(fields []fact.Slot, name string) *fact.Slot {
	for i := range fields {
		if fields[i].Name == name {
			return &fields[i]
		}
	}
	return nil
}

func unknownKey(key string, value *plainyaml.Node, fields []fact.Slot) *fact.Refusal {
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = f.Name
	}
	hint := fact.Nearest(key, names)
	before, _, colon := strings.Cut(key, ":")
	switch {
	case colon && find(fields, before) != nil:
		hint = "write a space after the colon"
	case value.Kind == plainyaml.Nothing && strings.Contains(key, " "):
		hint = "put a text with a comma in double quotes"
	}
	return &fact.Refusal{Code: "unknown-key", Msg: "there is no field called " + fact.Quote(key) + " here", Hint: hint}
}

func (b *binder) list(n *plainyaml.Node, v fact.Listed) *fact.Refusal {
	if n.Kind != plainyaml.List && v.Alone() {
		return b.Value(n, v.At(0))
	}
	if bad := b.kind(n, plainyaml.List, v); bad != nil {
		return bad
	}
	least, most := v.Limits()
	switch {
	case len(n.Items) < least:
		return b.stop(n, v.Want(), &fact.Refusal{Code: "too-few", Msg: fmt.Sprintf("the list holds %d of the %d it needs", len(n.Items), least)})
	case len(n.Items) > most:
		return b.stop(&n.Items[most], v.Want(), &fact.Refusal{Code: "too-many", Msg: fmt.Sprintf("the list has more than %d items", most)})
	}
	for i := range n.Items {
		if bad := b.Value(&n.Items[i], v.At(i)); bad != nil {
			return bad.In("[" + strconv.Itoa(i+1) + "]")
		}
	}
	return nil
}

// chosen fills a fact that stands under its kind.
func (b *binder) chosen(n *plainyaml.Node, v fact.Chosen) *fact.Refusal {
	if bad := b.kind(n, plainyaml.Mapping, v); bad != nil {
		return bad
	}
	if n.Pairs() != 1 {
		return b.stop(n, v.Want(), &fact.Refusal{
			Code: "not-one-kind", Msg: fmt.Sprintf("an entry has one kind, and %d keys stand here", n.Pairs()),
			Hint: "begin each entry with a dash, and indent its fields further than its kind",
		})
	}
	key, fields := n.Key(0), n.Val(0)
	key.Text = fact.Respelled(key.Text)
	f, bad := v.Make(key.Text)
	if bad != nil {
		return b.stop(key, "", bad)
	}
	if fields.Kind != plainyaml.Mapping {
		bad = b.stop(fields, "the fields of the entry in braces", &fact.Refusal{Code: "wrong-type", Msg: fields.Kind.String() + " stands here"})
	} else {
		bad = b.Group(fields, f)
	}
	if bad != nil {
		return bad.In(key.Text)
	}
	return nil
}

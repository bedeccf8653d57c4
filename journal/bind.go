package journal

import (
	"fmt"
	"strconv"
	"strings"

	"vialwright/plainyaml"
)

// binder puts the nodes of a case file into facts by the descriptors.
type binder struct {
	how reading
	// stack holds the descriptors of the groups being filled.
	stack []field
	// at and want are those of the problem found: where it is, and what was
	// expected there.
	at   *plainyaml.Node
	want string
}

// stop is a problem at a node.
func (b *binder) stop(n *plainyaml.Node, want string, p *Refusal) *Refusal {
	b.at, b.want = n, want
	return p
}

// value puts a node into its place.
func (b *binder) value(n *plainyaml.Node, v value) *Refusal {
	if n.Kind == plainyaml.Nothing {
		return b.stop(n, v.want(), &Refusal{Code: "empty", Msg: "nothing is written here"})
	}
	switch v := v.(type) {
	case scalar:
		return b.scalar(n, v)
	case grouped:
		if bad := b.kind(n, plainyaml.Mapping, v); bad != nil {
			return bad
		}
		return b.group(n, v.open())
	case listed:
		return b.list(n, v)
	case chosen:
		return b.chosen(n, v)
	}
	panic("journal: a value of no shape")
}

// kind asks for a node of one kind.
func (b *binder) kind(n *plainyaml.Node, k plainyaml.Kind, v value) *Refusal {
	if n.Kind == k {
		return nil
	}
	return b.stop(n, v.want(), &Refusal{Code: "wrong-type", Msg: n.Kind.String() + " stands here"})
}

func (b *binder) scalar(n *plainyaml.Node, v scalar) *Refusal {
	if bad := b.kind(n, plainyaml.Text, v); bad != nil {
		return bad
	}
	if _, number := v.(unquoted); number && n.Quoted {
		return b.stop(n, v.want(), &Refusal{Code: "wrong-type", Msg: "a text in quotes stands here", Hint: "write the number without quotes"})
	}
	if bad := v.read(n.Text, b.how); bad != nil {
		return b.stop(n, v.want(), bad)
	}
	return nil
}

// group fills the fields of a group. It refuses, in this order: a key that is
// no field, the first value in the order of the file that does not fit its
// field, and a field that must be given and is not: what was typed wrong is told
// before what was not typed at all.
func (b *binder) group(n *plainyaml.Node, g fielded) *Refusal {
	start := len(b.stack)
	b.stack = g.fields(b.stack)
	defer func() { b.stack = b.stack[:start] }()
	return b.fill(n, b.stack[start:])
}

// fill is group for fields that are known.
func (b *binder) fill(n *plainyaml.Node, fields []field) *Refusal {
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
		if bad := b.value(n.Val(i), f.v); bad != nil {
			return bad.In(f.name)
		}
	}
	for _, f := range fields {
		if _, ok := n.Find(f.name); f.must && !ok {
			return b.stop(n, f.v.want(), &Refusal{Code: "missing", Msg: f.name + " is missing"})
		}
	}
	return nil
}

// respell gives a key with the other spelling of a field its name. Both in one
// group are refused.
func (b *binder) respell(n *plainyaml.Node, fields []field) *Refusal {
	for _, f := range fields {
		v, ok := f.v.(respelled)
		if !ok {
			continue
		}
		for i := range n.Pairs() {
			key := n.Key(i)
			if key.Text != v.old() {
				continue
			}
			if _, twice := n.Find(f.name); twice {
				return b.stop(key, "", &Refusal{Code: "duplicate-key", Msg: key.Text + " is another spelling of " + f.name + ", and both stand here", Hint: "take one away"})
			}
			key.Text = f.name
		}
	}
	return nil
}

func find(fields []field, name string) *field {
	for i := range fields {
		if fields[i].name == name {
			return &fields[i]
		}
	}
	return nil
}

func unknownKey(key string, value *plainyaml.Node, fields []field) *Refusal {
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = f.name
	}
	hint := nearest(key, names)
	before, _, colon := strings.Cut(key, ":")
	switch {
	case colon && find(fields, before) != nil:
		hint = "write a space after the colon"
	case value.Kind == plainyaml.Nothing && strings.Contains(key, " "):
		hint = "put a text with a comma in double quotes"
	}
	return &Refusal{Code: "unknown-key", Msg: "there is no field called " + quote(key) + " here", Hint: hint}
}

func (b *binder) list(n *plainyaml.Node, v listed) *Refusal {
	if n.Kind != plainyaml.List && v.alone() {
		return b.value(n, v.at(0))
	}
	if bad := b.kind(n, plainyaml.List, v); bad != nil {
		return bad
	}
	least, most := v.limits()
	switch {
	case len(n.Items) < least:
		return b.stop(n, v.want(), &Refusal{Code: "too-few", Msg: fmt.Sprintf("the list holds %d of the %d it needs", len(n.Items), least)})
	case len(n.Items) > most:
		return b.stop(&n.Items[most], v.want(), &Refusal{Code: "too-many", Msg: fmt.Sprintf("the list has more than %d items", most)})
	}
	for i := range n.Items {
		if bad := b.value(&n.Items[i], v.at(i)); bad != nil {
			return bad.In("[" + strconv.Itoa(i+1) + "]")
		}
	}
	return nil
}

// chosen fills a fact that stands under its kind.
func (b *binder) chosen(n *plainyaml.Node, v chosen) *Refusal {
	if bad := b.kind(n, plainyaml.Mapping, v); bad != nil {
		return bad
	}
	if n.Pairs() != 1 {
		return b.stop(n, v.want(), &Refusal{
			Code: "not-one-kind", Msg: fmt.Sprintf("an entry has one kind, and %d keys stand here", n.Pairs()),
			Hint: "begin each entry with a dash, and indent its fields further than its kind",
		})
	}
	key, fields := n.Key(0), n.Val(0)
	key.Text = Respelled(key.Text)
	f, bad := v.make(key.Text)
	if bad != nil {
		return b.stop(key, "", bad)
	}
	if fields.Kind != plainyaml.Mapping {
		bad = b.stop(fields, "the fields of the entry in braces", &Refusal{Code: "wrong-type", Msg: fields.Kind.String() + " stands here"})
	} else {
		bad = b.group(fields, f)
	}
	if bad != nil {
		return bad.In(key.Text)
	}
	return nil
}

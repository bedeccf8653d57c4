package main

import (
	"bytes"
	"encoding/json"
	"io"
)

// object is an answer in JSON. Its keys keep their order; one whose value is absent is
// left out.
type object []member

type member struct {
	key   string
	value any
}

// left is the value of a key that is left out.
type left struct{}

// ifAny leaves a key out where it has the zero value.
func ifAny[T comparable](v T) any {
	if v == *new(T) {
		return left{}
	}
	return v
}

// ifSome leaves the key of an empty list out.
func ifSome[T any](list []T) any {
	if len(list) == 0 {
		return left{}
	}
	return list
}

// figure is the value of a key that is null where its figure is withheld, also where there
// is one, and left out where there is none.
func figure[T any](known, withheld bool, v T) any {
	switch {
	case withheld:
		return nil
	case known:
		return v
	}
	return left{}
}

// MarshalJSON writes the members in their order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	b.WriteByte('{')
	for _, m := range o {
		if m.value == (left{}) {
			continue
		}
		if b.Len() > 1 {
			b.WriteByte(',')
		}
		if err := enc.Encode(m.key); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := enc.Encode(m.value); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// indented writes an answer as JSON that people can read too.
func indented(w io.Writer, a any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(a)
}

// each makes a list of answers; of nothing it is an empty list, not null.
func each[A, B any](all []A, of func(A) B) []B {
	out := make([]B, len(all))
	for i, a := range all {
		out[i] = of(a)
	}
	return out
}

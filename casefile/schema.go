package casefile

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"strings"

	"vialwright/fact"
)

// node is a part of a JSON schema.
type node map[string]any

// Schema is the JSON schema (draft 2020-12) of a case file written as JSON, drawn
// from the declarations that read and write it. It asks for what can be asked of
// each value alone; whether units, times and entries make sense is for the
// program.
func Schema() []byte {
	kinds, entry := node{}, node{}
	for _, k := range fact.Kinds() {
		word, f := k.Word(), fact.Blank(k.Word())
		kinds[word] = object(fact.Slots(nil, f), k.About)
		if _, top := f.(*fact.Site); top {
			continue
		}
		entry[word] = node{"$ref": "#/$defs/" + word}
		if k.Old != "" {
			entry[k.Old] = entry[word]
		}
	}
	kinds["entry"] = node{"type": "object", "properties": entry, "minProperties": 1, "maxProperties": 1, "additionalProperties": false}
	file := object(new(content).slots(), "A case file of vialwright.")
	file["properties"].(node)["case"] = node{"enum": []int{1, 2}, "description": format{}.Want()}
	file["properties"].(node)["policy"] = node{"$ref": "#/$defs/policy"}
	file["$schema"], file["$defs"] = "https://json-schema.org/draft/2020-12/schema", kinds
	out, err := json.MarshalIndent(file, "", "  ")
	if err != nil {
		panic(err) // texts and numbers alone
	}
	return append(out, '\n')
}

// object is the schema of a group of fields.
func object(slots []fact.Slot, about string) node {
	fields, required := node{}, []string{}
	for _, s := range slots {
		x := schemaOf(s.V)
		if s.Label != "" {
			x["title"] = s.Label
		}
		fields[s.Name] = x
		if v, ok := s.V.(fact.Respelling); ok {
			fields[v.Old()] = x
		}
		if s.Must {
			required = append(required, s.Name)
		}
	}
	out := node{"type": "object", "properties": fields, "required": required, "additionalProperties": false}
	if about != "" {
		out["description"] = about
	}
	return out
}

// schemaOf is the schema of a value.
func schemaOf(v fact.Value) node {
	switch v := v.(type) {
	case fact.Grouped:
		return object(fact.Slots(nil, v.Open()), "")
	case fact.Chosen, entries:
		one := node{"$ref": "#/$defs/entry"}
		if _, list := v.(entries); list {
			return node{"type": "array", "items": one}
		}
		return one
	case fact.Listed:
		least, most := v.Limits()
		one := schemaOf(v.At(0))
		list := node{"type": "array", "items": one, "minItems": least, "maxItems": most}
		if v.Alone() {
			return node{"anyOf": []node{one, list}}
		}
		return list
	}
	shape, words := fact.ShapeOf(v)
	out := node{"type": "string", "description": v.Want()}
	_, number := v.(fact.Bare)
	switch {
	case number:
		out["type"] = "number"
	case words != nil:
		out["enum"] = words
	case shape == fact.IDShape:
		out["pattern"] = "^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$"
	default:
		out["minLength"], out["maxLength"] = 1, 500
	}
	return out
}

// Table lists every field of every kind as CSV with a header: kind, field, label,
// whether it must be given, what it holds, the words it may be, the act it is
// recorded under, and what the kind says.
func Table() []byte {
	var b strings.Builder
	w := csv.NewWriter(&b)
	line := func(cells ...string) { _ = w.Write(cells) } // a builder takes everything
	line("kind", "field", "label", "must", "holds", "words", "act", "about")
	for _, k := range fact.Kinds() {
		for _, f := range fact.AllFields(k.Word()) {
			must := map[bool]string{true: "yes"}[f.Must]
			line(k.Word(), f.Path, f.Label, must, string(f.Shape), strings.Join(f.Words, " "), string(k.Act), k.About)
		}
	}
	w.Flush()
	return []byte(b.String())
}

// Describe prints the format of a case file, drawn from the descriptors that
// read and write it: every kind with its fields, whether each must be given,
// and what stands there. The fields of a record's fact are the same.
func Describe() string {
	var b strings.Builder
	b.WriteString("A case file is one YAML or JSON document. * marks what must be given.\n")
	describe(&b, "top of the file", "", new(content).slots())
	for _, k := range fact.Kinds() {
		word, f := k.Word(), fact.Blank(k.Word())
		if word != "site" {
			describe(&b, word, k.About+alsoRead(k.Old), fact.Slots(nil, f))
		}
		if word == "meter" {
			describe(&b, "a factor in geometry", "reading over activity, for one kind of container", fact.Slots(nil, new(fact.Geometry)))
		}
	}
	return b.String()
}

// alsoRead names the other spelling of a word, where it has one.
func alsoRead(old string) string {
	if old == "" {
		return ""
	}
	return "; also read as " + old
}

func describe(b *strings.Builder, name, about string, fields []fact.Slot) {
	b.WriteString("\n" + name)
	if about != "" {
		b.WriteString(": " + about)
	}
	b.WriteString("\n")
	describeFields(b, fields, "  ")
}

// describeFields lists the fields of a group and, further in, those of the
// groups in it. The policy, meters, their factors and the kinds of entry have
// sections of their own.
func describeFields(b *strings.Builder, fields []fact.Slot, indent string) {
	for _, f := range fields {
		star := " "
		if f.Must {
			star = "*"
		}
		also := ""
		if v, ok := f.V.(fact.Respelling); ok {
			also = alsoRead(v.Old())
		}
		fmt.Fprintf(b, "%s%s %-*s %s\n", indent, star, 28-len(indent), f.Name, f.V.Want()+also)
		if v, ok := f.V.(fact.Grouped); ok {
			if _, policy := v.Open().(*fact.Policy); !policy {
				describeFields(b, fact.Slots(nil, v.Open()), indent+"    ")
			}
		}
	}
}

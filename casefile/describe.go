package casefile

import (
	"fmt"
	"strings"

	"vialwright/fact"
)

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

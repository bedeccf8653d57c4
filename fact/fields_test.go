package fact_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/fact/facttest"
)

// TestKinds: every kind is declared whole: it has its own words, an act that
// somebody may do, a signature that says something where it is one, an entry in
// the file of all kinds, and a label for every field that is not the key it is
// stored under.
func TestKinds(t *testing.T) {
	there := map[string]bool{}
	for _, f := range facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts {
		there[fact.Word(f)] = true
		for _, x := range fact.Fields(f) {
			if x.Label == "" || strings.ToUpper(x.Label[:1]) != x.Label[:1] || strings.HasSuffix(x.Label, "-u") {
				t.Errorf("%s.%s has the label %q", fact.Word(f), x.Path, x.Label)
			}
			empty := x // the same field of an entry that holds nothing
			empty.Text, empty.Control, empty.Row = "", "", 0
			if path, nested := strings.CutPrefix(x.Path, "with."); nested && fact.Word(f) == "correct" {
				continue // the fields of what it puts in as well
			} else if got := fact.FieldOf(fact.Word(f), path); !reflect.DeepEqual(got, empty) {
				t.Errorf("%s: the field alone is %+v, in the entry %+v", fact.Word(f), got, empty)
			}
		}
	}
	words := map[string]string{}
	for _, k := range fact.Kinds() {
		word := k.Word()
		switch {
		case !there[word]:
			t.Errorf("%s is not in all-kinds.yaml", word)
		case k.Past == "" || k.About == "":
			t.Errorf("%s has no words: %q, %q", word, k.Past, k.About)
		case words[k.Past] != "" || words[k.About] != "":
			t.Errorf("%s is called like another kind: %q, %q", word, k.Past, k.About)
		case k.Act.Text() == "" || len(k.Act.Roles()) == 0:
			t.Errorf("nobody may %q, the act of %s", k.Act, word)
		case k.Mend == fact.Signed && k.Act.Meaning() == "":
			t.Errorf("%s is a signature that says nothing", word)
		}
		words[k.Past], words[k.About] = word, word
	}
}

// TestFields: what is must and what may be left out, absent fields included,
// is what the descriptors say; a list is one field.
func TestFields(t *testing.T) {
	d := fact.Fields(&fact.Deviation{Text: "spilt"})
	if want := []fact.Field{
		{Path: "for", Label: "Order", Shape: fact.IDShape},
		{Path: "text", Label: "What went wrong", Text: "spilt", Must: true, Shape: fact.TextShape},
		{Path: "at", Label: "When", Must: true, Shape: fact.TimeShape},
	}; !reflect.DeepEqual(d, want) {
		t.Errorf("a deviation has %+v", d)
	}
	for _, f := range facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts {
		x, ok := f.(*fact.Residual)
		if !ok {
			continue
		}
		all := fact.Fields(x)
		i := slices.IndexFunc(all, func(f fact.Field) bool { return f.Path == "before.rate" })
		if i < 0 || !all[i].List || all[i].Text != "182 uSv/h, 180 uSv/h" {
			t.Errorf("a residual has %+v", all)
		}
		return
	}
	t.Error("no residual")
}

// TestLongTexts: a text of a pattern is no longer than any other text.
func TestLongTexts(t *testing.T) {
	for _, c := range []struct {
		of          fact.Group
		field, part string
	}{
		{new(fact.WorkingTime), "days", "Mon "},
		{new(fact.DaySetup), "staff", "T1 08:00-16:00; "},
		{new(fact.Room), "sketch", "0,0 100,0; "},
	} {
		all := fact.Slots(nil, c.of)
		v, _ := all[slices.IndexFunc(all, func(x fact.Slot) bool { return x.Name == c.field })].V.(fact.Scalar)
		short, long := strings.TrimRight(strings.Repeat(c.part, 20), "; "), strings.TrimRight(strings.Repeat(c.part, 200), "; ")
		if bad := v.Read(short, fact.How{}); bad != nil {
			t.Errorf("%s: %d characters are refused: %s", c.field, len(short), bad.Msg)
		}
		if bad := v.Read(long, fact.How{}); bad == nil || bad.Code != "too-long" {
			t.Errorf("%s: %d characters: %+v, want them to be too long", c.field, len(long), bad)
		}
	}
}

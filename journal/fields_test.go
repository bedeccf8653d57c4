package journal_test

import (
	"slices"
	"strings"
	"testing"

	"vialwright/journal"
)

// TestLabels: every field of every kind has a label in words, which is not the
// key it is stored under.
func TestLabels(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range decode(t, file(t, "all-kinds.yaml")).Facts {
		for _, x := range journal.Fields(f) {
			if x.Label == "" || strings.ToUpper(x.Label[:1]) != x.Label[:1] || strings.HasSuffix(x.Label, "-u") {
				t.Errorf("%s.%s has the label %q", f.Kind(), x.Path, x.Label)
			}
			seen[f.Kind()] = true
		}
	}
	if len(seen) < 30 {
		t.Errorf("only %d kinds were looked at", len(seen))
	}
}

// TestFields: what is must and what may be left out, absent fields included,
// is what the descriptors say; a list is one field.
func TestFields(t *testing.T) {
	d := journal.Fields(&journal.Deviation{Text: "spilt"})
	if want := []journal.Field{
		{Path: "for", Label: "Order"},
		{Path: "text", Label: "What went wrong", Text: "spilt", Must: true},
		{Path: "at", Label: "When", Must: true},
	}; !slices.Equal(d, want) {
		t.Errorf("a deviation has %+v", d)
	}
	for _, f := range decode(t, file(t, "all-kinds.yaml")).Facts {
		x, ok := f.(*journal.Residual)
		if !ok {
			continue
		}
		all := journal.Fields(x)
		i := slices.IndexFunc(all, func(f journal.Field) bool { return f.Path == "before.rate" })
		if i < 0 || !all[i].List || all[i].Text != "182 uSv/h, 180 uSv/h" {
			t.Errorf("a residual has %+v", all)
		}
		return
	}
	t.Error("no residual")
}

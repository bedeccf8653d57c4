package fact_test

import (
	"reflect"
	"regexp"
	"slices"
	"testing"

	"vialwright/fact"
)

var (
	tagForm = regexp.MustCompile(`^[a-z]+:"(\\.|[^"\\])*"( [a-z]+:"(\\.|[^"\\])*")*$`)
	tagWord = regexp.MustCompile(`([a-z]+):"(?:\\.|[^"\\])*"`)
)

// TestTags: a slip in a tag is not silent. Each field of each group is declared as
// must or may, once, by tags that are known, and an id speaks of a kind of subject that
// there is; else a field would be neither read nor written, or read in another way.
func TestTags(t *testing.T) {
	for _, k := range fact.Kinds() {
		tagsOf(t, k.Word(), fact.Blank(k.Word()))
	}
}

func tagsOf(t *testing.T, where string, g fact.Group) {
	for _, f := range reflect.VisibleFields(reflect.TypeOf(g).Elem()) {
		if f.Anonymous && f.Tag == "" {
			continue
		}
		if len(f.Index) > 1 && reflect.TypeOf(g).Elem().Field(f.Index[0]).Tag != "" {
			continue // the embedded struct is a field itself
		}
		for _, bad := range wrongTag(f.Tag) {
			t.Errorf("%s: the field %s is tagged `%s`: %s", where, f.Name, f.Tag, bad)
		}
	}
	var names []string
	for _, x := range fact.Slots(nil, g) {
		if slices.Contains(names, x.Name) {
			t.Errorf("%s: two fields are called %s", where, x.Name)
		}
		names = append(names, x.Name)
		v := x.V
		if l, ok := v.(fact.Listed); ok {
			v = l.At(0)
		}
		if in, ok := v.(fact.Grouped); ok {
			tagsOf(t, where+"."+x.Name, in.Open())
		}
	}
}

// wrongTag says what is wrong with the tags of a field.
func wrongTag(tag reflect.StructTag) (bad []string) {
	if !tagForm.MatchString(string(tag)) {
		return []string{"not key:\"text\" with one space between"}
	}
	count := map[string]int{}
	for _, m := range tagWord.FindAllStringSubmatch(string(tag), -1) {
		count[m[1]]++
		if !slices.Contains([]string{"must", "may", "label", "id", "as", "per", "like"}, m[1]) || count[m[1]] > 1 {
			bad = append(bad, m[1]+" is no tag of a field, or stands twice")
		}
	}
	if count["must"]+count["may"] != 1 {
		bad = append(bad, "neither must nor may, or both")
	}
	if tag.Get("must")+tag.Get("may") == "" {
		bad = append(bad, "it has no name")
	}
	if count["id"]+count["as"]+count["per"]+count["like"] > 1 {
		bad = append(bad, "two tags say how it is read")
	}
	subjects := []fact.About{
		"", fact.AboutOrder, fact.AboutContainer, fact.AboutMeter, fact.AboutPerson,
		fact.AboutParcel, fact.AboutBin, fact.AboutPlace, fact.AboutSource,
	}
	if !slices.Contains(subjects, fact.About(tag.Get("id"))) {
		bad = append(bad, "there is no such kind of subject")
	}
	return bad
}

// TestWrongTag: each slip is seen.
func TestWrongTag(t *testing.T) {
	for tag, wrong := range map[reflect.StructTag]bool{
		``:                                 true,
		`must:"at" label:"When"`:           false,
		`must: "at" label:"When"`:          true,
		`must:"at"  label:"When"`:          true,
		`mist:"at" label:"When"`:           true,
		`must:"at" may:"at" label:"When"`:  true,
		`must:"at" lable:"When"`:           true,
		`must:"of" id:"container"`:         false,
		`must:"of" id:"contianer"`:         true,
		`must:"of" id:"meter" as:"day"`:    true,
		`may:"least" pre:"million"`:        true,
		`may:"or" label:"It says \"or\""`:  false,
		`may:"or" label:"One" label:"Two"`: true,
	} {
		if bad := wrongTag(tag); (bad != nil) != wrong {
			t.Errorf("`%s`: %q", tag, bad)
		}
	}
}

// Package drill holds the drills of a practice laboratory: invented mornings
// with a fault in each, modelled on accidents that were published.
//
// A drill is data only, a file of two YAML documents in the folder files. The
// first is its head:
//
//	title     what it is called; it does not give the fault away
//	told      what the trainee is told
//	accident  the kind of accident
//	source    the published report it is modelled on, or "no published report"
//	explains  what is wrong, with its number, told afterwards
//	right     what to do
//	now       the time at which the trainee comes to the bench
//	fault     the numbers of the entries that are wrong; any of them will do
//	met       the codes of the findings the trainee meets, all but the notes
//
// The second is the entries of a case file, played behind the settings of
// [Laboratory]. Every number in a drill is invented.
package drill

import (
	"bytes"
	"embed"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/plainyaml"
)

//go:embed files/*.yaml
var files embed.FS

//go:embed laboratory.yaml
var laboratory string

// NoReport stands where no published report of such an accident was found.
const NoReport = "no published report"

// Laboratory is the beginning of a case file: the zone, the policy and the
// meters of the invented laboratory. Entries may follow it.
func Laboratory() string { return laboratory }

// Drill is one drill.
type Drill struct {
	// Name is that of its file, without the ending; it names the drill in the
	// journal and never changes.
	Name                                           string
	Title, Told, Accident, Source, Explains, Right string
	// Now is when the trainee comes to the bench.
	Now time.Time
	// Fault are the numbers of the wrong entries, from 1.
	Fault []int
	// Met are the codes of the findings but the notes, sorted.
	Met []string
	// Facts are the settings and then the entries.
	Facts []fact.Fact
}

// All reads every drill, in the order of their names. The files are part of the
// program, so that an error is one of who changed them.
func All(zones fact.Zones) ([]Drill, error) {
	list, err := files.ReadDir("files")
	if err != nil {
		return nil, err
	}
	var out []Drill
	for _, f := range list {
		data, err := files.ReadFile("files/" + f.Name())
		if err != nil {
			return nil, err
		}
		d, err := Parse(strings.TrimSuffix(f.Name(), ".yaml"), data, zones)
		if err != nil {
			return nil, fmt.Errorf("drill %s: %w", f.Name(), err)
		}
		out = append(out, d)
	}
	return out, nil
}

// Parse reads a drill. It fails where a word of the head is missing or unknown,
// a fault is no entry, or the entries are no case file.
func Parse(name string, data []byte, zones fact.Zones) (Drill, error) {
	head, entries, ok := bytes.Cut(data, []byte("\n---\n"))
	if !ok {
		return Drill{}, fmt.Errorf("a line --- must stand between the head and the entries")
	}
	file, err := casefile.Decode(append([]byte(laboratory), entries...), zones)
	if err != nil {
		return Drill{}, err
	}
	d := Drill{Name: name, Facts: file.Facts}
	if err := d.head(head, zones); err != nil {
		return Drill{}, err
	}
	for _, n := range d.Fault {
		if n < 1 || n > len(d.entries()) {
			return Drill{}, fmt.Errorf("fault: there is no entry %d", n)
		}
	}
	return d, nil
}

func (d *Drill) head(data []byte, zones fact.Zones) error {
	root, err := plainyaml.Parse(data, 1<<16)
	if err != nil {
		return err
	}
	texts := map[string]*string{"title": &d.Title, "told": &d.Told, "accident": &d.Accident, "source": &d.Source, "explains": &d.Explains, "right": &d.Right}
	missing := []string{"title", "told", "accident", "source", "explains", "right", "now", "fault", "met"}
	for i := range root.Pairs() {
		key, val := root.Key(i).Text, root.Val(i)
		missing = slices.DeleteFunc(missing, func(s string) bool { return s == key })
		switch key {
		case "now":
			if err := d.clock(val.Text, zones); err != nil {
				return fmt.Errorf("now: %w", err)
			}
		case "fault":
			for _, n := range val.Items {
				number, err := strconv.Atoi(n.Text)
				if err != nil {
					return fmt.Errorf("fault: %q is no number of an entry", n.Text)
				}
				d.Fault = append(d.Fault, number)
			}
		case "met":
			for _, n := range val.Items {
				d.Met = append(d.Met, n.Text)
			}
			slices.Sort(d.Met)
		default:
			to := texts[key]
			if to == nil || val.Text == "" {
				return fmt.Errorf("%s: it is unknown, or has no text", key)
			}
			*to = val.Text
		}
	}
	if len(missing) > 0 || len(d.Fault) == 0 || len(d.Met) == 0 {
		return fmt.Errorf("the head lacks: %s", strings.Join(append(missing, "an entry in fault or a code in met"), ", "))
	}
	return nil
}

func (d *Drill) clock(text string, zones fact.Zones) error {
	site, _, _ := fact.Settings(d.Facts)
	zone, err := zones(site.Zone)
	if err == nil {
		d.Now, err = time.ParseInLocation("2006-01-02T15:04", text, zone)
	}
	return err
}

// entries are the facts behind the settings.
func (d *Drill) entries() []fact.Fact {
	return slices.DeleteFunc(slices.Clone(d.Facts), fact.IsHeader)
}

// Play gives the entries of the drill as those of a morning that is at now when
// the trainee comes, with a text before every id. A time with the offset of the
// laboratory has that of zone; one with another offset keeps it.
func (d *Drill) Play(prefix string, now time.Time, zone *time.Location) ([]fact.Fact, error) {
	facts, err := fact.Rename(d.entries(), func(id string) string { return prefix + id })
	if err != nil {
		return nil, err
	}
	by := now.Truncate(time.Minute).Sub(d.Now)
	fact.Retime(facts, func(t time.Time) time.Time {
		_, own := t.Zone()
		if _, here := t.In(d.Now.Location()).Zone(); own == here {
			return t.Add(by).In(zone)
		}
		return t.Add(by)
	})
	return facts, nil
}

package readings

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/web/kit"
	"vialwright/web/live"
	"vialwright/web/view"
	"vialwright/web/words"
)

// look is how often a stream says what the meters show.
const look = time.Second

// mostWells bounds what one page may ask about.
const mostWells = 8

// Ticks ticks where a page shows meters; else it never does.
func Ticks(q *kit.Request, meters live.Meters) (ticks <-chan time.Time, tell func() error, stop func()) {
	if meters == nil || !q.R.URL.Query().Has("wells") {
		return nil, nil, func() {}
	}
	t := time.NewTicker(look)
	return t.C, func() error { return say(q, meters) }, t.Stop
}

// wells are the containers that the page asks about; the empty name is that of
// an empty well.
func wells(q *kit.Request) []string {
	all := strings.Split(q.R.URL.Query().Get("wells"), ",")
	all = slices.DeleteFunc(all, func(s string) bool { return len(s) > 32 })
	return all[:min(len(all), mostWells)]
}

// say sends what the meters of the case show now. It has no number:
// nothing that was missed is sent again.
func say(q *kit.Request, meters live.Meters) error {
	f := q.Lab.File(wells(q)...)
	lines := Lines(q, meters, f, wells(q), caseZone(q, f))
	if len(lines) == 0 {
		lines = []view.Meter{}
	}
	data, err := json.Marshal(lines)
	if err != nil {
		return err
	}
	return q.Sent(func() error {
		_, err := fmt.Fprintf(q.W, "event: meter\ndata: %s\n\n", data)
		return err
	})
}

func caseZone(q *kit.Request, f *kit.File) words.Zoned {
	for _, r := range f.Records {
		if c, ok := r.Fact.(*fact.Site); ok {
			z, err := q.Zones(c.Zone)
			if err == nil {
				return words.Zoned{Location: z}
			}
		}
	}
	return words.Zoned{}
}

package instruments

import (
	"net/url"
	"slices"
	"strconv"
	"time"

	"vialwright/meter"
	"vialwright/meterbook"
	"vialwright/picture"
	"vialwright/quantity"
	"vialwright/web/view"
	"vialwright/web/words"
)

// span is how much of a series a chart shows: so many days up to the end of a day, or all.
type span struct {
	word, text string
	days       int // 0 for all
	until      time.Time
}

var spans = []span{{word: "30", text: "A month", days: 30}, {word: "90", text: "Three months", days: 90}, {word: "year", text: "A year", days: 366}, {word: "all", text: "All years"}}

// span is what the address asks for; until is today where it names no other day.
func (q *request) span() span {
	s, v := spans[1], q.R.URL.Query()
	for _, x := range spans {
		if x.word == v.Get("span") {
			s = x
		}
	}
	day, end, err := quantity.ParseDay(v.Get("until"), q.Location())
	if err != nil || day.After(q.Now) {
		end = quantity.EndOfDay(q.Now, 0, q.Location())
	}
	s.until = end
	return s
}

func (s span) holds(at time.Time) bool {
	return s.days == 0 || at.Before(s.until) && !at.Before(s.until.AddDate(0, 0, -s.days))
}

func (s span) links(id string, now time.Time) (out []view.Link) {
	last := s.until.Add(-time.Second)
	to := func(text, word string, day time.Time, current bool) {
		v := url.Values{"span": {word}}
		if day.Before(now) && day.Format(time.DateOnly) != now.In(day.Location()).Format(time.DateOnly) {
			v.Set("until", day.Format(time.DateOnly))
		}
		out = append(out, view.Link{Text: text, Href: bookHref(id) + "?" + v.Encode() + "#charts", Current: current})
	}
	for _, x := range spans {
		to(x.text, x.word, last, x.word == s.word)
	}
	if s.days > 0 {
		to("Earlier", s.word, last.AddDate(0, 0, -s.days), false)
		if later := last.AddDate(0, 0, s.days); last.Before(now.Add(-24 * time.Hour)) {
			to("Later", s.word, later, false)
		}
	}
	return out
}

// mostPoints is how many points a chart shows; of more, each is the mean of several.
const mostPoints = 120

func (q *request) seriesCard(n int, s meterbook.Series, over span) SeriesCard {
	title := words.Sentence(string(s.Test))
	for _, x := range []string{s.Source, s.Setting, s.Insert} {
		if x != "" {
			title += ", " + x
		}
	}
	c := SeriesCard{ID: "series-" + strconv.Itoa(n), Title: title}
	points := slices.DeleteFunc(slices.Clone(s.Points), func(p meterbook.SeriesPoint) bool { return !over.holds(p.At) })
	switch {
	case s.Chart == nil:
		c.None = "A chart needs five tests within tolerance that differ; this series has " + words.Plural(len(s.Points), "test") + "."
		return c
	case len(points) == 0:
		c.None = "No test was made in this time."
		return c
	}
	each := (len(points) + mostPoints - 1) / mostPoints
	first, last := q.book().On(points[0].At), q.book().On(points[len(points)-1].At)
	c.Says = words.Plural(len(points), "test") + " from " + first + " to " + last + "; limits at three standard deviations, from the first " + strconv.Itoa(s.Base) + " that passed."
	if each > 1 {
		c.Says += " Each point is the mean of " + strconv.Itoa(each) + "."
	}
	pic := controlOf(c.ID, s, points, each, q.Location())
	pic.Mark, pic.Title, pic.Words, pic.First, pic.Last = q.Mark(), title, c.Says, first, last
	if s.Limit.Tolerance > 0 {
		c.Says += " Tolerance " + quantity.Show(s.Limit.Tolerance, 0).String() + " (" + s.Limit.Source + ")."
	}
	c.Picture = picture.ControlChart(pic)
	return c
}

// controlOf is a series as the picture takes it, so many tests to a point; what is not good
// is marked with its day in a zone.
func controlOf(id string, s meterbook.Series, points []meterbook.SeriesPoint, each int, zone *time.Location) picture.Control {
	text := func(v quantity.Fraction) string { f := quantity.Show(v, s.Chart.Sigma); return f.Value + " " + f.Unit }
	off := func(v quantity.Fraction) string { // from what was expected
		if v > 1 {
			return "+" + text(v-1)
		}
		return text(v - 1)
	}
	limits := func(b meter.Band[quantity.Fraction]) picture.Limits {
		return picture.Limits{Lower: b.Lower, Centre: b.Centre, Upper: b.Upper, LowerText: off(b.Lower), CentreText: off(b.Centre), UpperText: off(b.Upper)}
	}
	r := s.Chart.Ranges
	out := picture.Control{ID: id, Of: "test", Values: limits(s.Chart.Values), Ranges: picture.Limits{Lower: r.Lower, Centre: r.Centre, Upper: r.Upper, CentreText: text(r.Centre), UpperText: text(r.Upper)}}
	var values []quantity.Fraction
	var marks []string // the day of a test that is not good
	for group := range slices.Chunk(points, each) {
		var mean quantity.Fraction
		mark := ""
		for _, p := range group {
			mean += p.Value / quantity.Fraction(len(group))
			if p.Verdict != meterbook.Good {
				mark = p.At.In(zone).Format("2 Jan")
			}
		}
		values, marks = append(values, mean), append(marks, mark)
	}
	smooth, err := meter.EWMA(values, s.Chart.Values.Centre, s.Chart.Sigma, 0.2, 2.9)
	for n, v := range values {
		p := picture.ControlPoint{Value: v, Average: v, Out: marks[n] != ""}
		if p.Out && n > 0 && marks[n-1] == "" { // the first of those in a row; below the first point stands its day
			p.Number = marks[n]
		}
		if err == nil {
			p.Average, p.Drift, out.Average = smooth[n].Value, smooth[n].Out, limits(smooth[n].Band)
		}
		if n > 0 {
			p.Moving = max(v-values[n-1], values[n-1]-v)
			p.Jump = p.Moving > s.Chart.Ranges.Upper
		}
		out.Points = append(out.Points, p)
	}
	return out
}

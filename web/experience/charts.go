package experience

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"vialwright/experience"
	"vialwright/meter"
	"vialwright/picture"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/view"
	"vialwright/web/words"
)

// A chart shows the last so many values; a page so many charts.
const (
	mostPoints = 60
	mostCharts = 12
)

var chartBy = []struct {
	by   meter.By
	text string
}{{"", "All preparations"}, {meter.ByPerson, "By who drew"}, {meter.ByLot, "By lot"}, {meter.ByCatheter, "By kind of catheter"}}

func chartsPage(q *request) error {
	of, by := experience.Measures[0], meter.By("")
	for _, m := range experience.Measures {
		if string(m) == q.R.URL.Query().Get("of") {
			of = m
		}
	}
	for _, b := range chartBy {
		if string(b.by) == q.R.URL.Query().Get("by") {
			by = b.by
		}
	}
	p := Charts{Page: q.Page("Control charts"), Links: []view.Link{{Text: "Site experience", Href: "/experience"}}}
	for _, m := range experience.Measures {
		p.Of = append(p.Of, view.Link{Text: m.Text(), Href: chartsHref(m, by), Current: m == of})
	}
	for _, b := range chartBy {
		p.By = append(p.By, view.Link{Text: b.text, Href: chartsHref(of, b.by), Current: b.by == by})
	}
	var preps []experience.Preparation
	var charts []experience.Chart
	q.lessons.Taught(func(x *lessons.Lessons) {
		preps = x.Tally.Preparations()
		charts, p.Why = x.Tally.Charts(of, by)
	})
	if p.Why != "" {
		p.Why = words.Sentence(p.Why)
	}
	hidden := q.hidden(preps)
	if n := len(charts) - mostCharts; n > 0 {
		// By lot the newest stand last.
		p.More, charts = words.Plural(n, "earlier chart")+" not shown.", charts[n:]
	}
	for _, c := range charts {
		p.Charts = append(p.Charts, q.chartCard(without(c, hidden)))
	}
	return q.Show(http.StatusOK, pages, p)
}

func chartsHref(m experience.Measure, by meter.By) string {
	v := url.Values{"of": {string(m)}}
	if by != "" {
		v.Set("by", string(by))
	}
	return "/charts?" + v.Encode()
}

// without leaves the orders out of which the person may still do the second
// check.
func without(c experience.Chart, hidden map[string]bool) experience.Chart {
	var points []experience.Point
	for _, p := range c.Points {
		if !hidden[p.Order] {
			points = append(points, p)
		}
	}
	c.Points = points
	return c
}

func (q *request) chartCard(c experience.Chart) ChartCard {
	title := c.Of.Text()
	if c.Name != "" {
		title += ", " + c.Name
	}
	from := max(0, len(c.Points)-mostPoints)
	card := ChartCard{ID: "chart-" + string(c.By) + c.Name, Title: title, Limits: "Limits at three standard deviations, from " + c.Limits + "."}
	if from > 0 {
		card.Limits += " The last " + words.Plural(mostPoints, "preparation") + " of " + strconv.Itoa(len(c.Points)) + " are shown."
	}
	numbers := map[string]string{}
	looks := 0
	for _, b := range c.Broken(from) {
		if b.Warning {
			looks++
			continue
		}
		n := strconv.Itoa(len(card.Broken) + 1)
		numbers[b.Order] = n
		card.Broken = append(card.Broken, CaseLine{
			Number: n, Case: b.Order, Href: kit.OrderHref(b.Order),
			Text: quantity.FormatDigits(b.Value, 3, "%") + ": " + strings.Join(b.Texts, "; ") + ".",
		})
	}
	if len(card.Broken) == 0 {
		card.Sound = "No rule is broken by the preparations shown."
	}
	if looks > 0 {
		card.Looks = words.Plural(looks, "preparation") + " beyond two standard deviations. Have a look: about one in twenty-two is, by chance."
	}
	pic := controlOf(c, from, numbers)
	pic.Mark = q.Mark()
	pic.Title, pic.Words = title, chartWords(c, from, len(card.Broken))
	card.Picture = picture.ControlChart(pic)
	return card
}

// chartWords say what the picture shows to who does not see it.
func chartWords(c experience.Chart, from, broken int) string {
	s := words.Plural(len(c.Points)-from, "preparation") + "; centre " + limitText(c.Values.Centre, c.Sigma) + ", limits " + limitText(c.Values.Lower, c.Sigma) + " and " + limitText(c.Values.Upper, c.Sigma)
	if broken == 0 {
		return s + "; no rule is broken."
	}
	return s + "; " + words.Plural(broken, "preparation") + " break a rule, listed below the picture."
}

// limitText writes a limit to the place that tells it from the next one.
func limitText(v, sigma quantity.Fraction) string {
	f := quantity.Show(v, sigma)
	return f.Value + " " + f.Unit
}

func controlOf(c experience.Chart, from int, numbers map[string]string) picture.Control {
	band := func(b meter.Band[quantity.Fraction], lower bool) picture.Limits {
		l := picture.Limits{
			Lower: b.Lower, Centre: b.Centre, Upper: b.Upper,
			LowerText: limitText(b.Lower, c.Sigma), CentreText: limitText(b.Centre, c.Sigma), UpperText: limitText(b.Upper, c.Sigma),
		}
		if !lower {
			l.LowerText = ""
		}
		return l
	}
	out := picture.Control{ID: string(c.Of) + "-" + string(c.By) + "-" + c.Name, Values: band(c.Values, true), Ranges: band(c.Ranges, false)}
	for _, p := range c.Points[from:] {
		out.Points = append(out.Points, picture.ControlPoint{
			Value: p.Value, Moving: p.Moving, Average: p.EWMA.Value, Number: numbers[p.Order], Jump: p.Jump, Drift: p.EWMA.Out,
		})
		out.Average = band(p.EWMA.Band, true)
	}
	return out
}

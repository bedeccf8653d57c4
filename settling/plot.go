package settling

import (
	"fmt"
	"math"
	"strings"

	"vialwright/quantity"
)

// plot draws relative concentration against time since agitation.
func (c *canvas) plot(r Result, safe quantity.Span) {
	end := plotEnd(r)
	x := func(t quantity.Span) float64 { return plotLeft + (plotRight-plotLeft)*float64(t)/end }
	y := func(rel float64) float64 { return plotBottom - (plotBottom-plotTop)*math.Min(rel, plotMost)/plotMost }
	c.frame(r, safe, x, y, end)
	var tip, drawn []string
	for _, p := range r.Track {
		if float64(p.At) <= end+1e-9 {
			tip = append(tip, fmt.Sprintf("%.1f,%.1f", x(p.At), y(float64(p.Tip))))
		}
	}
	c.put(`<polyline points="%s" fill="none" stroke="%s" stroke-width="5" stroke-linejoin="round"/>`, strings.Join(tip, " "), c.ink)
	for _, p := range r.Track { // what the scale cuts off
		if at := x(p.At); p.Tip >= plotMost && at < plotRight-320 {
			c.text(at+20, plotTop+38, 28, "start", c.ink, 400, fmt.Sprintf("bed at the tip, over %.0f %%", 100*plotMost))
			break
		}
	}
	if r.Case.Draw.Volume > 0 {
		for _, d := range r.Window.Drawn {
			if float64(d.Start) <= end {
				drawn = append(drawn, fmt.Sprintf("%.1f,%.1f", x(d.Start), y(float64(d.Mean))))
			}
		}
		c.put(`<polyline points="%s" fill="none" stroke="%s" stroke-width="5" stroke-dasharray="3 8" stroke-linecap="round"/>`,
			strings.Join(drawn, " "), c.open)
	}
}

// plotEnd is the time shown: three windows, no less than a minute.
func plotEnd(r Result) float64 {
	end := float64(r.Case.Span)
	if r.Window.State == Closes {
		end = math.Min(end, math.Max(60, 3*float64(r.Window.Until)))
	}
	return end
}

// frame draws title, axes, tolerance and window.
func (c *canvas) frame(r Result, safe quantity.Span, x func(quantity.Span) float64, y func(float64) float64, end float64) {
	c.text(plotLeft-70, plotTop-32, 28, "start", c.ink, 700, "Concentration, % of evenly mixed")
	c.line(610, plotTop-42, 660, plotTop-42, 5, c.ink, "")
	c.text(670, plotTop-32, 28, "start", c.ink, 400, "at the tip")
	if r.Case.Draw.Volume > 0 {
		c.put(`<line x1="825" y1="%.1f" x2="880" y2="%.1f" stroke="%s" stroke-width="5" stroke-dasharray="3 8" stroke-linecap="round"/>`,
			plotTop-42, plotTop-42, c.open)
		c.text(890, plotTop-32, 28, "start", c.ink, 400, "mean of a draw begun then")
	}
	tol := float64(r.Case.Tolerance)
	c.put(`<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="%s"/>`, plotLeft, y(1+tol), plotRight-plotLeft, y(1-tol)-y(1+tol), c.band)
	if r.Window.Until > 0 {
		c.window(x(quantity.Span(math.Min(float64(r.Window.Until), end))), x(safe), r.Window.State == Closes)
	}
	for _, rel := range []float64{0, 0.5, 1, 1.5, 2} {
		c.line(plotLeft-8, y(rel), plotLeft, y(rel), 2, c.quiet, "")
		c.text(plotLeft-14, y(rel)+9, 26, "end", c.ink, 400, fmt.Sprintf("%.0f", 100*rel))
	}
	c.line(plotLeft, plotTop, plotLeft, plotBottom, 3, c.quiet, "")
	c.line(plotLeft, plotBottom, plotRight, plotBottom, 3, c.quiet, "")
	step := tick(end)
	for t := 0.0; t <= end*1.001; t += step {
		at := x(quantity.Span(t))
		c.line(at, plotBottom, at, plotBottom+8, 2, c.quiet, "")
		c.text(at, plotBottom+36, 26, "middle", c.ink, 400, clock(quantity.Span(t)))
	}
	c.text((plotLeft+plotRight)/2, plotBottom+70, 28, "middle", c.ink, 700, "Time since the last agitation")
}

// window marks the draw window, paler from safe on where safe lies inside it,
// and writes in it and after it what to do.
func (c *canvas) window(edge, safe float64, closes bool) {
	band := func(from, to, opacity float64) {
		c.put(`<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="%s" fill-opacity="%.2f"/>`,
			from, plotTop, to-from, plotBottom-plotTop, c.open, opacity)
	}
	if safe > plotLeft {
		band(plotLeft, safe, 0.30)
		band(safe, edge, 0.12)
		c.line(safe, plotTop-8, safe, plotBottom, 4, c.open, "")
		c.line(edge, plotTop, edge, plotBottom, 3, c.open, "6 6")
	} else {
		band(plotLeft, edge, 0.22)
		c.line(edge, plotTop-8, edge, plotBottom, 4, c.open, "")
		safe = edge
	}
	if safe-plotLeft > 110 {
		c.text(plotLeft+14, plotBottom-16, 32, "start", c.open, 700, "draw")
	}
	if plotRight-edge > 230 && closes {
		c.text(edge+14, plotBottom-16, 32, "start", c.ink, 700, "agitate again")
	}
}

// tick is the distance of the time marks, for at most eight of them.
func tick(end float64) float64 {
	for _, t := range []float64{5, 10, 15, 20, 30, 60, 120, 300, 600, 1800, 3600} {
		if end/t <= 8 {
			return t
		}
	}
	return 7200
}

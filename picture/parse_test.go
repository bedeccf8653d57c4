package picture

import (
	"encoding/xml"
	"errors"
	"fmt"
	"html/template"
	"io"
	"math"
	"strconv"
	"strings"
)

// element is one element of a picture, with the texts right below it.
type element struct {
	name string
	attr map[string]string
	text string
}

// parse reads a picture strictly as XML.
func parse(svg template.HTML) ([]element, error) {
	d := xml.NewDecoder(strings.NewReader(string(svg)))
	d.Strict = true
	d.Entity = nil
	var all []element
	var open []int
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return nil, err
		}
		switch t := token.(type) {
		case xml.StartElement:
			e := element{t.Name.Local, map[string]string{}, ""}
			for _, a := range t.Attr {
				if _, again := e.attr[a.Name.Local]; again {
					return nil, fmt.Errorf("<%s> has %s twice", e.name, a.Name.Local)
				}
				e.attr[a.Name.Local] = a.Value
			}
			open = append(open, len(all))
			all = append(all, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 {
				all[open[len(open)-1]].text += string(t)
			}
		default:
			return nil, fmt.Errorf("a %T in a picture", t)
		}
	}
}

// num gives an attribute as a number.
func (e element) num(name string) float64 {
	x, err := strconv.ParseFloat(e.attr[name], 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

// points gives the points of a polygon or a polyline.
func (e element) points() []point {
	var out []point
	for _, p := range strings.Fields(e.attr["points"]) {
		x, y, _ := strings.Cut(p, ",")
		a, err1 := strconv.ParseFloat(x, 64)
		b, err2 := strconv.ParseFloat(y, 64)
		if err1 != nil || err2 != nil {
			return []point{{math.NaN(), math.NaN()}}
		}
		out = append(out, point{a, b})
	}
	return out
}

// extent gives the corners of the place an element takes, none for one that
// is not drawn where it stands.
func (e element) extent() []point {
	switch e.name {
	case "polygon", "polyline":
		return e.points()
	case "rect":
		return []point{{0, 0}, {e.num("width"), e.num("height")}}
	case "circle":
		x, y, r := e.num("cx"), e.num("cy"), e.num("r")
		return []point{{x - r, y - r}, {x + r, y + r}}
	case "text":
		f := face{e.num("font-size"), e.attr["font-weight"] == "700"}
		x, y, w := e.num("x"), e.num("y"), f.width(e.text)
		switch e.attr["text-anchor"] {
		case "middle":
			x -= w / 2
		case "end":
			x -= w
		}
		return []point{{x, y - 0.75*f.size}, {x + w, y + 0.22*f.size}}
	}
	return nil
}

// allowed are the elements and attributes a picture is made of.
var allowed = map[string]string{
	"svg":      "xmlns class viewBox role aria-labelledby font-family",
	"title":    "id",
	"desc":     "id",
	"defs":     "",
	"pattern":  "id width height patternUnits",
	"rect":     "width height fill",
	"circle":   "cx cy r fill stroke stroke-width",
	"polygon":  "points fill stroke stroke-width stroke-dasharray stroke-linejoin",
	"polyline": "points fill stroke stroke-width stroke-dasharray stroke-linejoin",
	"text":     "x y font-size font-weight text-anchor fill stroke stroke-width stroke-linejoin paint-order",
}

// check holds a picture to what is true of every picture: it is XML of the
// few elements we use, with finite numbers and colours of the palette, all of
// it inside its viewBox, named and described.
func check(svg template.HTML) error {
	all, err := parse(svg)
	if err != nil {
		return err
	}
	var width, height float64
	if n, err := fmt.Sscanf(all[0].attr["viewBox"], "0 0 %g %g", &width, &height); n != 2 || err != nil {
		return fmt.Errorf("viewBox %q: %v", all[0].attr["viewBox"], err)
	}
	if all[0].attr["role"] != "img" || all[1].name != "title" || all[2].name != "desc" || all[1].text == "" || all[2].text == "" {
		return errors.New("not named and described")
	}
	if want := all[1].attr["id"] + " " + all[2].attr["id"]; all[0].attr["aria-labelledby"] != want {
		return fmt.Errorf("labelled by %q, not by %q", all[0].attr["aria-labelledby"], want)
	}
	paints := map[string]bool{"none": true, "url(#" + strings.TrimSuffix(all[1].attr["id"], "-title") + "-loose)": true, "url(#" + strings.TrimSuffix(all[1].attr["id"], "-title") + "-dense)": true}
	for c := range palette {
		paints[colour(c).css()] = true
	}
	inPattern := 0
	for _, e := range all {
		names := strings.Fields(allowed[e.name])
		if _, ok := allowed[e.name]; !ok {
			return fmt.Errorf("element <%s>", e.name)
		}
		for a, v := range e.attr {
			if !strings.Contains(" "+strings.Join(names, " ")+" ", " "+a+" ") {
				return fmt.Errorf("<%s> has %s=%q", e.name, a, v)
			}
			if (a == "fill" || a == "stroke") && !paints[v] {
				return fmt.Errorf("<%s> is painted %q", e.name, v)
			}
		}
		if e.name == "pattern" {
			inPattern = 2
			continue
		}
		if inPattern > 0 {
			inPattern--
			continue
		}
		for _, p := range e.extent() {
			const slack = 0.01 // two decimals
			if !(p.x >= -slack && p.x <= width+slack && p.y >= -slack && p.y <= height+slack) {
				return fmt.Errorf("<%s> %q at %v is not inside %g by %g: %v", e.name, e.text, p, width, height, e.attr)
			}
		}
	}
	return nil
}

// drawnText is all that is written in a picture, a line each.
func drawnText(svg template.HTML) string {
	all, err := parse(svg)
	if err != nil {
		panic(err)
	}
	var lines []string
	for _, e := range all {
		if e.name == "text" {
			lines = append(lines, e.text)
		}
	}
	return strings.ReplaceAll(strings.Join(lines, "\n"), string(nbsp), " ")
}

// described is the title and the description of a picture.
func described(svg template.HTML) string {
	all, err := parse(svg)
	if err != nil {
		panic(err)
	}
	return all[1].text + "\n" + all[2].text
}

// painted gives the elements with a fill or a stroke of a colour.
func painted(svg template.HTML, attribute string, c colour) []element {
	all, err := parse(svg)
	if err != nil {
		panic(err)
	}
	var out []element
	for _, e := range all {
		if e.attr[attribute] == c.css() {
			out = append(out, e)
		}
	}
	return out
}

package view

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"maps"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"vialwright/quantity"
)

//go:embed page/*.html
var files embed.FS

// symbol writes a unit as it is printed: µ for the u that is typed.
var symbol = strings.NewReplacer("uSv", "µSv", "uGy", "µGy", "uR/h", "µR/h", "100cm2", "100 cm²", "cm2", "cm²")

// symbolOf writes a unit, or those in a text, as printed.
func symbolOf(text string) string {
	switch text {
	case "um":
		return "µm"
	case "C":
		return "°C"
	}
	return symbol.Replace(text)
}

// sentence writes a clause as a person reads it alone: with a capital, and a full
// stop where it has no end of its own. Of nothing it makes nothing.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	first, size := utf8.DecodeRuneInString(text)
	text = string(unicode.ToUpper(first)) + text[size:]
	if strings.HasSuffix(text, ".") || strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// base is what every page has around its content, and what pages are put together
// from.
var base = template.Must(template.New("layout").Funcs(template.FuncMap{"meaning": func() string { return quantity.Meaning }, "symbol": symbolOf, "sentence": sentence}).
	ParseFS(files, "page/layout.html", "page/parts.html", "page/live.html"))

// Pages are the templates of pages, each under the name of its struct.
type Pages map[string]*template.Template

// Common are the pages that every room has.
var Common = parse("page/", files, FormPage{}, Refused{})

// Parse reads the templates of the pages of a room, beside those that every room
// has: that of a struct Board is in board.html. It panics where one is missing or
// wrong, which no person and no file of a site can cause.
func Parse(files fs.FS, pages ...any) Pages {
	out := parse("", files, pages...)
	maps.Copy(out, Common)
	return out
}

func parse(dir string, files fs.FS, pages ...any) Pages {
	out := Pages{}
	for _, p := range pages {
		name := nameOf(p)
		out[name] = template.Must(template.Must(base.Clone()).ParseFS(files, dir+strings.ToLower(name)+".html"))
	}
	return out
}

func nameOf(page any) string { return reflect.TypeOf(page).Name() }

// Write renders a page and writes it whole or not at all.
func (p Pages) Write(w io.Writer, page any) error {
	t := p[nameOf(page)]
	if t == nil {
		return fmt.Errorf("view: no template for %T", page)
	}
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, "layout", page); err != nil {
		return err
	}
	_, err := b.WriteTo(w)
	return err
}

package view

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"reflect"
	"strings"

	"vialwright/quantity"
)

//go:embed page/*.html
var files embed.FS

// symbol writes a unit as it is printed: µ for the u that is typed.
var symbol = strings.NewReplacer("uSv", "µSv", "100cm2", "100 cm²", "cm2", "cm²")

// pages holds a template for each page.
var pages = func() map[string]*template.Template {
	base := template.Must(template.New("layout").Funcs(template.FuncMap{"meaning": func() string { return quantity.Meaning }, "symbol": symbol.Replace}).ParseFS(files, "page/layout.html", "page/parts.html", "page/settling.html", "page/live.html"))
	out := map[string]*template.Template{}
	for _, p := range []any{SignIn{}, Board{}, Day{}, Bench{}, History{}, FormPage{}, People{}, Health{}, Refused{}, Experience{}, Charts{}, Curves{}, Practice{}, Start{}} {
		name := nameOf(p)
		out[name] = template.Must(template.Must(base.Clone()).ParseFS(files, "page/"+strings.ToLower(name)+".html"))
	}
	return out
}()

func nameOf(page any) string { return reflect.TypeOf(page).Name() }

// Write renders a page, one of the structs of this package, and writes it
// whole or not at all.
func Write(w io.Writer, page any) error {
	t := pages[nameOf(page)]
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

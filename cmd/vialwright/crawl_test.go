package main

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"vialwright/fact"
)

var (
	numbered = regexp.MustCompile(`\d+`)
	linked   = regexp.MustCompile(`href="(/[^"#]*)`)
	unseen   = regexp.MustCompile(`(?s)<(script|style)[^>]*>.*?</(script|style)>`)
	anyTag   = regexp.MustCompile(`<[^>]*>`)
	// blank is a cell, or a figure beside its name, in which nothing stands.
	blank = regexp.MustCompile(`<(td|dd|dt)[^>]*>\s*</(td|dd|dt)>`)
	// spilled is what a program says, and no person does.
	spilled = regexp.MustCompile(`\bNaN\b|[+-]Inf\b|<nil>|%!|0001-01-01|\[object|\bundefined\b|[a-z)] +\.( |$)`)
	hyphens = regexp.MustCompile(`(^|[ (,:])([a-z]+(-[a-z]+)+)($|[ ).,:;])`)
)

// TestEveryPageReads walks all links of a practice laboratory with a past, as three people:
// none leads nowhere, and no page shows a code, an empty cell or what only a program says.
func TestEveryPageReads(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: the pages are not walked")
	}
	trade := []string{"make-up", "second-check", "hand-over", "take-over", "time-out", "half-life", "second-hand"} // of the trade's English
	codes := map[string]bool{}
	for _, k := range fact.Kinds() {
		codes[k.Word()] = true
		for _, f := range fact.Fields(fact.Blank(k.Word())) {
			for _, word := range f.Words {
				codes[word] = true
			}
		}
	}
	p := serve(t, "--practice", "--past", "20")
	for _, id := range []string{"RP1", "MP1", "NT1"} {
		b, todo, pages, alike := p.signIn(id), []string{"/", "/day", "/charts", "/plan/ahead"}, 0, map[string]int{}
		for seen := map[string]bool{}; len(todo) > 0; {
			at := todo[0]
			todo = todo[1:]
			path, _, _ := strings.Cut(at, "?")
			like := numbered.ReplaceAllString(path, "#")
			if seen[at] || alike[like] == 3 {
				continue
			}
			seen[at] = true
			alike[like]++
			a, err := b.get(at)
			if err != nil {
				t.Fatal(err)
			}
			if a.status >= http.StatusBadRequest {
				t.Errorf("%s at %s: %v", id, at, a)
			}
			if !strings.HasPrefix(a.body, "<!doctype") {
				continue
			}
			pages++
			for _, m := range linked.FindAllStringSubmatch(a.body, -1) {
				if to, err := url.Parse(html.UnescapeString(m[1])); err == nil && !strings.HasPrefix(to.Path, "/assets/") {
					todo = append(todo, to.RequestURI())
				}
			}
			for _, m := range blank.FindAllStringIndex(a.body, -1) {
				t.Errorf("%s at %s: nothing stands behind %s", id, at, a.body[max(0, m[0]-100):m[1]])
			}
			for line := range strings.SplitSeq(anyTag.ReplaceAllString(unseen.ReplaceAllString(a.body, ""), "\n"), "\n") {
				line = html.UnescapeString(line)
				if m := spilled.FindString(line); m != "" {
					t.Errorf("%s at %s: %q in %q", id, at, m, line)
				}
				for _, m := range hyphens.FindAllStringSubmatch(line, -1) {
					if codes[m[2]] && !slices.Contains(trade, m[2]) {
						t.Errorf("%s at %s: the code %s in %q", id, at, m[2], line)
					}
				}
			}
		}
		if pages < 100 {
			t.Errorf("%s saw %d pages alone", id, pages)
		}
	}
}

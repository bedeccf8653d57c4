package main

import (
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestWitnessStopsServing: a record is rewritten while the program is ended. When it
// is started again every page says so, also to who is not signed in; nobody can
// record anything; and once somebody answered for it, recording goes on.
func TestWitnessStopsServing(t *testing.T) {
	dir, places := t.TempDir(), t.TempDir()
	lab, key := filepath.Join(dir, "lab"), filepath.Join(t.TempDir(), "heads.key")
	want(t, 0, "hotlab+", "key", "--site", "hotlab", "--out", key)
	args := []string{"--practice", "--journal", lab, "--sign", key, "--witness", places}
	note := func(p *program, words string) answer1 {
		t.Helper()
		b := p.signIn("RP1")
		page, err := b.get("/day/enter/note")
		if err != nil {
			t.Fatal(err)
		}
		form, ok := page.form("note")
		if !ok {
			t.Fatalf("no form: %v", page)
		}
		form.Set("p0.text", words)
		a, err := b.send("/day/enter/note", form)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	p := serve(t, args...)
	if a := note(p, "invented 1"); a.status != http.StatusSeeOther {
		t.Fatalf("before: %v", a)
	}
	noted(t, p.signIn("RP1"), places)
	p.kill()
	n := len(linksOf(t, lab))
	rewriteFirst(t, lab)
	remove(t, lab+".head")

	p = serve(t, args...)
	if !strings.Contains(p.said.String(), "STOP, nothing is recorded: rewritten: "+places) {
		t.Errorf("the start says %s", p.said)
	}
	res, err := http.Get(p.url + "/health")
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusServiceUnavailable {
		t.Errorf("health: %d", res.StatusCode)
	}
	b := p.signIn("RP1")
	for _, path := range []string{"/sign-in", "/", "/day", "/health"} {
		a, err := b.get(path)
		if err != nil || !strings.Contains(a.body, "was changed after that, and the hashes computed again") {
			t.Errorf("%s: %v, %v", path, a, err)
		}
	}
	if a := note(p, "invented 2"); a.status == http.StatusSeeOther || len(linksOf(t, lab)) != n {
		t.Errorf("recorded all the same: %v", a)
	}
	p.kill()

	resume := []string{"resume", "--journal", lab, "--by", "A. Example", "--why", "invented", "--sign", key, "--witness", places}
	want(t, 0, fmt.Sprintf("Recording may go on behind record %d", n+1), resume...)
	want(t, 2, "there is nothing to resume", resume...)
	p = serve(t, args...)
	if a := note(p, "invented 3"); a.status != http.StatusSeeOther {
		t.Errorf("after it was let go on: %v", a)
	}
	p.kill()
	said := want(t, 0, "by A. Example: invented", "verify", "--journal", lab, "--witness", places, "--signed-by", key+".pub")
	if !strings.Contains(said, "Recording went on after a loss behind record "+fmt.Sprint(n+1)) {
		t.Errorf("verify says %s", said)
	}
}

// noted comes back once a note is at a place, as System status has it.
func noted(t *testing.T, b *person, place string) {
	t.Helper()
	for range 2000 {
		a, err := b.get("/health")
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(a.body, "Witness "+place+": has the head of record") {
			return
		}
	}
	t.Fatal("no note was made")
}

// rewriteFirst changes the text of a record and computes every hash again.
func rewriteFirst(t *testing.T, path string) {
	t.Helper()
	rewriteFile(t, path, "invented physician", "invented surgeon!!")
}

// TestModesAreNotMixed: a practice journal is not served as a real one, nor the other
// way about, also where the first record was rewritten. The zone is that of the journal,
// and no other is taken.
func TestModesAreNotMixed(t *testing.T) {
	dir := t.TempDir()
	real, practice := filepath.Join(dir, "real"), filepath.Join(dir, "practice")
	want(t, 0, "facts written", "import", "--ahead", example12, "--journal", real, "--by", "A. Example")
	p := serve(t, "--journal", practice, "--practice")
	p.kill()
	want(t, 2, "this journal is for patients", "serve", "--journal", real, "--practice", "--listen", "127.0.0.1:0")
	want(t, 2, "this journal is for practice", "serve", "--journal", practice, "--zone", "Atlantic/Azores", "--listen", "127.0.0.1:0")
	want(t, 2, "this journal is of a site in the zone Atlantic/Azores, and the program was started with Europe/Berlin", "serve", "--journal", real, "--zone", "Europe/Berlin", "--listen", "127.0.0.1:0")
	want(t, 2, "the zone of the site is not known", "serve", "--journal", filepath.Join(dir, "new"), "--listen", "127.0.0.1:0")
	if left, _ := filepath.Glob(filepath.Join(dir, "new*")); len(left) > 0 {
		t.Errorf("a journal that was refused left %v behind", left)
	}
	serve(t, "--journal", real).kill()
	rewriteFile(t, practice, `"use":"practice"`, `"use":"patients"`)
	p = serve(t, "--journal", practice, "--zone", "Atlantic/Azores")
	res, err := http.PostForm(p.url+"/sign-in", url.Values{})
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if !strings.Contains(p.said.String(), "STOP, nothing is recorded") || res.StatusCode == http.StatusOK {
		t.Errorf("a practice journal that was made to look real: %s", p.said)
	}
	if _, err := os.Stat(practice + ".head"); err != nil {
		t.Error(err)
	}
}

// TestCommandsAskTheHeadBeside: what writes to a journal without serving it asks the
// head that is noted beside it, too, and writes nothing behind another.
func TestCommandsAskTheHeadBeside(t *testing.T) {
	lab := lockedOut(t)
	p := serve(t, "--journal", lab, "--zone", "Atlantic/Azores")
	p.kill()
	before := len(linksOf(t, lab))
	rewriteFile(t, lab, "NT1 Example", "NT1 Exemple")
	want(t, 1, "hashes computed again", "admit", "AD1", "--journal", lab, "--reason", "nobody could sign in")
	want(t, 1, "hashes computed again", "import", "--ahead", example12, "--journal", lab, "--by", "A. Example")
	if n := len(linksOf(t, lab)); n != before {
		t.Errorf("%d records were written behind a journal that is another", n-before)
	}
}

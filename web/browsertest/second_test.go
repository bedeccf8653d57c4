package browsertest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// TestSecondSignature: an account that gives rights and works on doses too is made at
// one screen by two people. Without the second, or with a wrong PIN of theirs, nothing
// is recorded, and what was typed stands there, but no secret.
func TestSecondSignature(t *testing.T) {
	d := signedIn(t, open(t), "AD1", keys{})
	d.goTo("/people")
	d.opens("person")
	roles := []string{"administrator", "radiopharmacist"}
	d.fill("person", "id", "RP9")
	d.fill("person", "name", "R. Invented")
	for _, role := range roles {
		keys{}.reach(d, role, `e.name === "role" && e.value === %s`, role)
		within(d, "pressing Space", chromedp.KeyEvent(space))
	}
	signs := func(with, second string, status int64) {
		t.Helper()
		d.fill("person", "pin", pin)
		if with != "" {
			d.fill("person", "with", with)
			d.fill("person", "pin2", second)
		}
		if r := d.send("person"); r.Status != status {
			t.Fatalf("with the signature of %q: %d, want %d:\n%s", with, r.Status, status, d.text("main"))
		}
		if status == 200 {
			return
		}
		for name, want := range map[string]string{"id": "RP9", "name": "R. Invented", "with": with, "pin": "", "pin2": ""} {
			if got := d.value("person", name); got != want {
				t.Errorf("after the refusal %s is %q, want %q", name, got, want)
			}
		}
		for _, role := range roles {
			if !ask[bool](d, `document.querySelector("#person [name=role][value=" + %s + "]").checked`, role) {
				t.Errorf("after the refusal the role %s is not chosen", role)
			}
		}
		if ask[bool](d, `[...document.querySelectorAll("a")].some(a => a.getAttribute("href") === "/people/RP9")`) {
			t.Error("the account is there")
		}
	}
	signs("", "", 422)
	signs("AD1", pin, 422)
	signs("RP1", "1357", 422)
	signs("RP1", pin, 200)
	d.says("main", "First password, for one sign-in")
	d.goTo("/history?kind=person")
	d.says("main", "RP1")
}

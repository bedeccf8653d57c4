package accounts_test

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"vialwright/accounts"
	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/store/vault"
	"vialwright/store/vault/vaulttest"
)

const (
	word   = "ferry quartz lantern moss"
	digits = "4729"
)

// site is an invented site with its accounts; nobody here is real.
type site struct {
	*testing.T
	*accounts.Store
	vault  *vaulttest.Memory
	now    time.Time
	roster map[string]people.Person
}

func newSite(t *testing.T) *site { return siteWith(t, &vaulttest.Memory{}, nil) }

// siteWith is a site with a key, or without one, on what is in a vault.
func siteWith(t *testing.T, v *vaulttest.Memory, key *secret.Key) *site {
	keeper, err := secret.New(secret.Options{Params: secret.Params{KiB: 8, Passes: 1, Lanes: 1}, Key: key})
	if err != nil {
		t.Fatal(err)
	}
	s := &site{T: t, vault: v, now: time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC), roster: map[string]people.Person{}}
	s.Store = accounts.New(accounts.Config{
		Vault: s.vault, Clock: func() time.Time { return s.now }, Passwords: keeper, PINs: keeper,
		People: func(id string) (people.Person, bool) { p, ok := s.roster[id]; return p, ok },
	})
	for _, id := range []string{"RP1", "NT1"} {
		s.roster[id] = people.Person{ID: id, Name: id + " Example", Roles: []people.Role{people.Technologist}, Active: true}
		if err := s.Enrol(t.Context(), id, word, digits); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func at(remote string) accounts.Place { return accounts.Place{Remote: remote + ":40001"} }

func browser(remote, name string) accounts.Place {
	return accounts.Place{Remote: remote + ":40001", Browser: sha256.Sum256([]byte(name))}
}

// code is that of a refusal; empty for none, "?" for another error.
func code(err error) string {
	if e, ok := errors.AsType[*people.Error](err); ok {
		return e.Code
	}
	if e, ok := errors.AsType[*secret.Error](err); ok {
		return e.Code
	}
	if err != nil {
		return "?"
	}
	return ""
}

func (s *site) wants(what string, err error, want string) {
	s.Helper()
	if got := code(err); got != want {
		s.Errorf("%s: %q (%v), want %q", what, got, err, want)
	}
}

func (s *site) signsIn(what, id, password string, place accounts.Place, want string) {
	s.Helper()
	_, err := s.SignIn(context.Background(), id, password, place)
	s.wants(what, err, want)
}

// Wrong passwords typed at one machine keep nobody from signing in at another, nor,
// behind the same address, from a browser that the account was signed in from before.
func TestWrongTriesBlockNobodyElse(t *testing.T) {
	s := newSite(t)
	s.signsIn("before", "RP1", word, browser("192.0.2.1", "bench"), "")
	for range 3 {
		s.signsIn("a wrong one", "RP1", "not the password", at("192.0.2.9"), "wrong")
	}
	s.signsIn("the machine of the wrong ones", "RP1", word, at("192.0.2.9"), people.CodeWait)
	s.signsIn("another port of it", "RP1", word, accounts.Place{Remote: "192.0.2.9:1"}, people.CodeWait)
	s.signsIn("another account there", "NT1", word, at("192.0.2.9"), "")
	s.signsIn("another machine", "RP1", word, at("192.0.2.2"), "")
	s.signsIn("a browser known before, behind the same address", "RP1", word, browser("192.0.2.9", "bench"), "")
	s.signsIn("a browser known of another account", "NT1", word, browser("192.0.2.9", "bench"), "")
	s.signsIn("a browser not known", "RP1", word, browser("192.0.2.9", "other"), people.CodeWait)
	s.now = s.now.Add(31 * time.Second)
	s.signsIn("after the wait", "RP1", word, at("192.0.2.9"), "")
}

// One machine of IPv6 has a network of addresses, and is one place.
func TestOnePlaceOfIPv6(t *testing.T) {
	s := newSite(t)
	for i := range 3 {
		s.signsIn("a wrong one", "RP1", "not the password", accounts.Place{Remote: fmt.Sprintf("[2001:db8::%x]:5", i+1)}, "wrong")
	}
	s.signsIn("another address of the network", "RP1", word, accounts.Place{Remote: "[2001:db8::77]:5"}, people.CodeWait)
	s.signsIn("another network", "RP1", word, accounts.Place{Remote: "[2001:db8:0:1::1]:5"}, "")
	s.signsIn("an IPv4 address written as IPv6", "RP1", word, accounts.Place{Remote: "[::ffff:192.0.2.4]:5"}, "")
}

// Everybody signs in behind one address in one minute; who guesses there is stopped,
// and stops nobody whose browser is known.
func TestEverybodyBehindOneAddress(t *testing.T) {
	s := newSite(t)
	for i := range 60 {
		id := fmt.Sprintf("NT%d", i+10)
		s.roster[id] = people.Person{ID: id, Name: id + " Example", Roles: []people.Role{people.Technologist}, Active: true}
		if err := s.Enrol(t.Context(), id, word, digits); err != nil {
			t.Fatal(err)
		}
		s.signsIn(id, id, word, browser("192.0.2.1", id), "")
	}
	for i := range accounts.MostAtOnce {
		s.signsIn("a guess", fmt.Sprintf("NT%d", i+10), "password1", at("192.0.2.1"), "wrong")
	}
	s.signsIn("a further guess", "NT55", "password1", at("192.0.2.1"), people.CodeWait)
	s.signsIn("a known browser", "NT55", word, browser("192.0.2.1", "NT55"), "")
	s.signsIn("another address", "NT56", word, at("192.0.2.2"), "")
}

// The PIN of another that is typed on somebody's form counts there alone: its owner
// signs on.
func TestPINBesideBlocksNobody(t *testing.T) {
	s := newSite(t)
	beside, own := accounts.Place{Beside: "NT1"}, accounts.Place{Session: sha256.Sum256([]byte("token"))}
	for i := 0; ; i++ {
		err := s.Confirm(t.Context(), "RP1", "1357", accounts.PIN, beside)
		if code(err) == people.CodeLocked {
			break
		}
		if i > 20 {
			t.Fatal("wrong PINs go on for ever")
		}
		s.now = s.now.Add(time.Minute)
	}
	s.wants("the right one on that form", s.Confirm(t.Context(), "RP1", digits, accounts.PIN, beside), people.CodeLocked)
	s.wants("its owner", s.Confirm(t.Context(), "RP1", digits, accounts.PIN, own), "")
	s.wants("on the form of another", s.Confirm(t.Context(), "RP1", digits, accounts.PIN, accounts.Place{Beside: "NT2"}), "")
	s.signsIn("with the password", "RP1", word, at("192.0.2.1"), "")
	s.wants("on that form, after the password", s.Confirm(t.Context(), "RP1", digits, accounts.PIN, beside), "")
}

// Failures that come at the same time are all counted.
func TestFailuresAtOnce(t *testing.T) {
	s := newSite(t)
	var all sync.WaitGroup
	codes := make([]string, 30)
	for i := range codes {
		all.Go(func() {
			_, err := s.SignIn(context.Background(), "RP1", "not the password", at("192.0.2.9"))
			codes[i] = code(err)
		})
	}
	all.Wait()
	wrong := 0
	for _, c := range codes {
		if c == "wrong" {
			wrong++
		}
	}
	if wrong != people.PasswordLockout().Free {
		t.Errorf("%d of 30 tries at once were looked at, want %d: %v", wrong, people.PasswordLockout().Free, codes)
	}
}

// counted counts what is written.
type counted struct {
	vault.Vault
	writes int
}

func (c *counted) Put(ctx context.Context, now time.Time, shelf vault.Shelf, key string, item vault.Item) (int64, error) {
	c.writes++
	return c.Vault.Put(ctx, now, shelf, key, item)
}

// A signature is compared without a write, each of which waits for the disk; only what
// failed is written, and forgotten again.
func TestWritesOfASignature(t *testing.T) {
	s := newSite(t)
	c := &counted{Vault: s.Vault}
	s.Vault = c
	a, _, err := s.Account(t.Context(), "RP1")
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		typed, code string
		writes      int
	}{{digits, "", 0}, {digits, "", 0}, {"1357", "wrong", 1}, {digits, "", 1}, {digits, "", 0}} {
		c.writes = 0
		s.wants(x.typed, s.Sign(t.Context(), a, x.typed, at("192.0.2.1")), x.code)
		if c.writes != x.writes {
			t.Errorf("%s was written %d times, want %d", x.typed, c.writes, x.writes)
		}
	}
}

// A first password opens one session, in which another is chosen without it.
func TestFirstPasswordWorksOnce(t *testing.T) {
	s := newSite(t)
	ctx := t.Context()
	first := accounts.FirstPassword([10]byte{1, 2, 3})
	if err := s.GiveFirst(ctx, "RP1", first); err != nil {
		t.Fatal(err)
	}
	s.signsIn("the old one", "RP1", word, at("192.0.2.1"), "wrong")
	s.signsIn("the first time", "RP1", first, at("192.0.2.1"), "")
	s.signsIn("the second time", "RP1", first, at("192.0.2.2"), accounts.CodeUsed)
	if a, _, err := s.Account(ctx, "RP1"); err != nil || !a.First || a.Era != 1 {
		t.Errorf("the account is %+v (%v)", a, err)
	}
	s.wants("the same again", s.Choose(ctx, "RP1", accounts.Password, "", first, at("192.0.2.1")), people.CodeRepeats)
	const mine = "my own ferry lantern yard"
	s.wants("choosing", s.Choose(ctx, "RP1", accounts.Password, "", mine, at("192.0.2.1")), "")
	s.signsIn("chosen", "RP1", mine, at("192.0.2.2"), "")
	s.wants("without the old one", s.Choose(ctx, "RP1", accounts.Password, "", "another ferry lantern yard", at("192.0.2.1")), "wrong")
	if err := s.GiveFirst(ctx, "RP1", first); err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	in := make([]string, 8)
	for i := range in {
		all.Go(func() {
			_, err := s.SignIn(context.Background(), "RP1", first, at(fmt.Sprintf("192.0.2.%d", i+10)))
			in[i] = code(err)
		})
	}
	all.Wait()
	if got := strings.Join(in, ""); strings.Count(got, accounts.CodeUsed) != len(in)-1 {
		t.Errorf("of eight at once one signs in: %v", in)
	}
}

// A row that was copied to another account, or is of one that the journal does not
// have, opens nothing.
func TestRowsOfOthersOpenNothing(t *testing.T) {
	s := newSite(t)
	const mine = "my own ferry lantern yard"
	s.wants("choosing", s.Choose(t.Context(), "NT1", accounts.Password, word, mine, at("192.0.2.1")), "")
	if !s.vault.Copy(vault.Secrets, "NT1", "RP1") {
		t.Fatal("nothing was copied")
	}
	s.signsIn("a copied row", "RP1", mine, at("192.0.2.1"), "wrong")
	s.signsIn("its own", "NT1", mine, at("192.0.2.1"), "")
	gone := s.roster["NT1"]
	delete(s.roster, "NT1")
	s.signsIn("not in the journal", "NT1", mine, at("192.0.2.1"), "wrong")
	gone.Active = false
	s.roster["NT1"] = gone
	s.signsIn("switched off", "NT1", mine, at("192.0.2.1"), "wrong")
}

// A page that was asked for while a session was fresh, and is answered after it was
// locked or ended, does not open it again.
func TestSessionStaysLocked(t *testing.T) {
	limits := people.DefaultLimits()
	for _, c := range []struct {
		name   string
		change func(people.Session) people.Session
		want   people.State
	}{
		{"locked", people.Session.Lock, people.NeedsPIN},
		{"ended", people.Session.End, people.Ended},
	} {
		s := newSite(t)
		token := people.NewToken([32]byte{1})
		if err := s.BeginSession(t.Context(), people.Open(token, "NT1", false, s.now), limits); err != nil {
			t.Fatal(err)
		}
		s.now = s.now.Add(5 * time.Minute)
		late := func(x people.Session) people.Session { return x.Seen(s.now, limits) }
		meanwhile := func(x people.Session) people.Session {
			if c.change != nil {
				change := c.change
				c.change = nil
				if err := s.ChangeSession(t.Context(), token.Hash(), limits, change); err != nil {
					t.Fatal(err)
				}
			}
			return late(x)
		}
		if err := s.ChangeSession(t.Context(), token.Hash(), limits, meanwhile); err != nil {
			t.Fatal(err)
		}
		x, found, err := s.Session(t.Context(), token.Hash())
		if err != nil || !found || x.State(s.now, limits) != c.want {
			t.Errorf("%s: %v %v, state %s, want %s", c.name, found, err, x.State(s.now, limits), c.want)
		}
	}
}

// What a person can have kept of forms has a bound, and the newest stays.
func TestDraftsAreBounded(t *testing.T) {
	s := newSite(t)
	ctx := t.Context()
	for i := range 300 {
		s.now = s.now.Add(time.Second)
		form := fmt.Sprintf("/order/P%d/step/draw", i)
		if err := s.KeepDraft(ctx, "NT1", form, accounts.Draft{Text: strings.Repeat("&a=", 5000), At: s.now}); err != nil {
			t.Fatal(err)
		}
		if _, there, _ := s.Draft(ctx, "NT1", form); !there {
			t.Fatalf("draft %d is not kept", i)
		}
	}
	if n := s.vault.Size(vault.Drafts); n > vault.MaxValue {
		t.Errorf("300 drafts take %d bytes", n)
	}
	if _, there, _ := s.Draft(ctx, "NT1", "/order/P0/step/draw"); there {
		t.Error("the oldest is still there")
	}
	last := "/order/P299/step/draw"
	if err := s.KeepDraft(ctx, "NT1", last, accounts.Draft{Text: strings.Repeat("x", accounts.MostDraft+1), At: s.now}); err != nil {
		t.Fatal(err)
	}
	if _, there, _ := s.Draft(ctx, "NT1", last); there {
		t.Error("a draft that is too long is there, or the one before it")
	}
	if err := s.DropDraft(ctx, "NT1", "/order/P298/step/draw"); err != nil {
		t.Fatal(err)
	}
	if _, there, _ := s.Draft(ctx, "NT1", "/order/P298/step/draw"); there {
		t.Error("a dropped draft is there")
	}
	if err := s.KeepDraft(ctx, "NT1", last, accounts.Draft{Text: "a=1", At: s.now.Add(2 * accounts.DraftFor)}); err != nil {
		t.Fatal(err)
	}
	if _, there, _ := s.Draft(ctx, "NT1", last); !there {
		t.Error("a draft of a laboratory whose clock was put forward is not there")
	}
	s.now = s.now.Add(accounts.DraftFor)
	if _, there, _ := s.Draft(ctx, "NT1", "/order/P297/step/draw"); there {
		t.Error("a draft is there after its time")
	}
}

// A locked session goes on under another token once: the old one opens nothing, also
// where the PIN was sent twice at the same time, and an ended one stays so.
func TestRenewSession(t *testing.T) {
	s := newSite(t)
	ctx, limits := t.Context(), people.DefaultLimits()
	old := people.NewToken([32]byte{1}).Hash()
	x := people.Open(people.NewToken([32]byte{1}), "RP1", false, s.now).Lock()
	if err := s.BeginSession(ctx, x, limits); err != nil {
		t.Fatal(err)
	}
	s.now = s.now.Add(time.Hour)
	var all sync.WaitGroup
	renewed := make([]bool, 8)
	hash := func(i int) [32]byte { return people.NewToken([32]byte{2, byte(i)}).Hash() }
	for i := range renewed {
		all.Go(func() {
			var err error
			if renewed[i], err = s.RenewSession(ctx, old, hash(i), limits); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	fresh := 0
	for i, ok := range renewed {
		y, found, err := s.Session(ctx, hash(i))
		if found != ok || err != nil {
			t.Errorf("renewed %v, there %v (%v)", ok, found, err)
		}
		if ok && y.State(s.now, limits) == people.Fresh && y.Started.Equal(x.Started) {
			fresh++
		}
	}
	if y, _, _ := s.Session(ctx, old); fresh != 1 || y.State(s.now, limits) != people.Ended {
		t.Errorf("%d sessions of one, and the old token is %s", fresh, y.State(s.now, limits))
	}
	if ok, err := s.RenewSession(ctx, old, hash(9), limits); ok || err != nil {
		t.Errorf("an ended session is renewed: %v", err)
	}
}

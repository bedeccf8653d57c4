package secret

import (
	"context"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"
	"golang.org/x/text/unicode/norm"
)

// mostSecret is the longest secret that is hashed, in bytes. Passwords are far
// shorter; the bound keeps a request of megabytes from being worked on.
const mostSecret = 1024

// Options are what a [Keeper] works with. The zero value is the default.
type Options struct {
	// Params are those of new hashes; zero for [RFC9106].
	Params Params
	// Gate is shared with other keepers; nil for one of 2 places.
	Gate *Gate
	// Key is the key of the site; nil for none.
	Key *Key
}

// Keeper hashes secrets and compares with hashes. It may be used by many
// goroutines at a time.
type Keeper struct {
	params Params
	gate   *Gate
	key    *Key
}

// New makes a keeper. Parameters beyond 256 MiB, 16 passes or 16 lanes, or with
// less than 8 KiB for each lane, are refused with [CodeParams].
func New(o Options) (*Keeper, error) {
	if o.Params == (Params{}) {
		o.Params = RFC9106()
	}
	if !o.Params.usable() {
		return nil, &Error{Code: CodeParams, Msg: "no hash can have these parameters", Hint: "1 to 16 passes, 1 to 16 lanes, 8 KiB for each lane to 256 MiB"}
	}
	if o.Gate == nil {
		o.Gate = NewGate(2)
	}
	return &Keeper{o.Params, o.Gate, o.Key}, nil
}

// Bound hashes the secrets of one account and compares with its hashes: one that
// was copied to another account opens nothing there.
type Bound struct {
	k *Keeper
	// whose is what is hashed before the secret; empty for a hash of nobody's.
	whose string
}

// Of binds to an account and to which of its secrets it is, such as "RP1" and
// "pin". Neither may hold a line end, which no id does.
func (k *Keeper) Of(account, which string) Bound { return Bound{k, account + "\n" + which + "\n"} }

// Hash gives what to keep of a secret of the account, another text each time.
// Errors: [CodeText], [CodeBusy], [CodeRandom].
func (b Bound) Hash(ctx context.Context, secret string) (string, error) {
	k := b.k
	input, ok := k.input(b.whose, secret)
	if !ok {
		return "", &Error{Code: CodeText, Msg: "there is nothing to keep", Hint: "type 1 to 1024 bytes of text"}
	}
	s := stored{bound: b.whose != ""}
	var cause error
	if k.key != nil {
		s.keyID = k.key.id()
	}
	if err := k.gate.pass(ctx, func() { s.phc, cause = argon2id.CreateHash(input, k.params.library()) }); err != nil {
		return "", err
	}
	if cause != nil {
		return "", &Error{CodeRandom, "the machine gave no random bytes", "", cause}
	}
	return s.String(), nil
}

// Check compares a secret with what is kept of one of the account. Where nothing
// is kept (kept is empty: there is no such person) it takes as long, and the
// secret is wrong. A hash that is bound to no account is refused with
// [CodeUnbound]. Other errors: [CodeStored], [CodeKey], [CodeBusy],
// [CodeRandom]; none of them says anything about the secret, so none counts as a
// failure.
func (b Bound) Check(ctx context.Context, secret, kept string) (Result, error) {
	k := b.k
	if kept == "" {
		_, err := b.Hash(ctx, "nobody")
		return Result{}, err
	}
	s, ok := parse(kept)
	if !ok {
		return Result{}, &Error{Code: CodeStored, Msg: "what is kept of this password or PIN cannot be read", Hint: "an administrator can give a first password"}
	}
	if s.bound != (b.whose != "") {
		return Result{}, &Error{Code: CodeUnbound, Msg: "what is kept of this password or PIN does not say whose it is: it is from before such hashes were bound to their accounts", Hint: "an administrator can give a first password, or anyone who has the machine in hand with: vialwright admit"}
	}
	with, ok := k.forKey(s.keyID)
	if !ok {
		return Result{}, &Error{Code: CodeKey, Msg: "it was hashed with a key that is not in use", Hint: "put the key of the site back in its place"}
	}
	input, ok := with.input(b.whose, secret)
	if !ok {
		return Result{}, nil
	}
	var right bool
	var cause error
	if err := k.gate.pass(ctx, func() { right, cause = argon2id.ComparePasswordAndHash(input, s.phc) }); err != nil {
		return Result{}, err
	}
	if cause != nil { // parse has read it, so it cannot be
		return Result{}, &Error{CodeStored, "what is kept of this password or PIN cannot be read", "", cause}
	}
	current := s.params == k.params && s.full && (s.keyID != "") == (k.key != nil)
	return Result{Right: right, Renew: right && !current}, nil
}

// Seal is by what the holder of the site's key knows again a text that they wrote;
// nil without a key.
func (k *Keeper) Seal(text string) []byte {
	if k.key == nil {
		return nil
	}
	return k.key.sum("vialwright sealed text\n" + text)
}

// Result is what a comparison found.
type Result struct {
	// Right is true where the secret is the one that was hashed.
	Right bool
	// Renew is true where it is, and the hash was made with other parameters
	// or lengths than those in use, or with the key on one side only: hash the
	// secret again, and keep that.
	Renew bool
}

// forKey gives a keeper for hashes with a key id, false where the key is not
// at hand.
func (k *Keeper) forKey(id string) (*Keeper, bool) {
	switch {
	case id == "":
		return &Keeper{k.params, k.gate, nil}, true
	case k.key != nil && k.key.id() == id:
		return k, true
	}
	return nil, false
}

// input is what is hashed of a secret; false for what [Bound.Hash] refuses.
func (k *Keeper) input(whose, secret string) (string, bool) {
	if secret == "" || len(secret) > mostSecret || !utf8.ValidString(secret) {
		return "", false
	}
	s := whose + norm.NFKC.String(secret)
	if k.key != nil {
		s = string(k.key.sum(s))
	}
	return s, true
}

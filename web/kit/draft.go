package kit

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/accounts"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/replica"
	"vialwright/web/view"
	"vialwright/web/words"
)

// secretFields are never kept.
var secretFields = []string{"pin", SecondPIN, SupervisorPIN, "password", "old", "setup", "nonce", "head", "seen"}

// KeepDraft keeps what was typed in a form by now, but no secret.
func (q *Request) KeepDraft(key string, typed url.Values, sent bool) error {
	return q.keepDraft(key, typed, accounts.Draft{At: q.Now, Sent: sent})
}

func (q *Request) keepDraft(key string, typed url.Values, d accounts.Draft) error {
	kept := bare(typed)
	if len(kept) == 0 {
		return nil
	}
	d.Text = kept.Encode()
	return q.Kept.KeepDraft(q.R.Context(), q.Who.ID, key, d)
}

// bare is what was typed without secrets, and without what only numbers the form.
func bare(typed url.Values) url.Values {
	out := url.Values{}
	for name, values := range typed {
		if !slices.Contains(secretFields, name) {
			out[name] = slices.Clone(values)
		}
	}
	return out
}

// Draft gives what the person typed in a form and did not record; nil for
// nothing.
func (q *Request) Draft(key string) (url.Values, accounts.Draft) {
	d, found, err := q.Kept.Draft(q.R.Context(), q.Who.ID, key)
	if err != nil || !found {
		return nil, accounts.Draft{}
	}
	values, err := url.ParseQuery(d.Text)
	if err != nil {
		return nil, accounts.Draft{}
	}
	return values, d
}

// filledIn is kept with what the program filled in where nobody had typed: it is not told
// as typed.
const filledIn = "filled"

// ToFill gives what the person typed in a form, for the program to fill in more and keep.
func (q *Request) ToFill(key string) url.Values {
	if typed, _ := q.Draft(key); typed != nil {
		return typed
	}
	return url.Values{filledIn: {"yes"}}
}

// keptSays says that what was typed is here again, and what changed of the form meanwhile.
func (q *Request) keptSays(kept url.Values, d accounts.Draft, changed string) string {
	var says []string
	if !kept.Has(filledIn) {
		says = append(says, "What you typed at "+q.clockIn(d.At)+" is here again. It is not recorded yet.")
	}
	if changed != "" {
		says = append(says, words.Sentence(changed)+".")
	}
	return strings.Join(says, " ")
}

// draftDo keeps what is being typed. The form is told by its own address.
func draftDo(q *Request) error {
	key := q.draftFor()
	if key == "" {
		return &Refusal{http.StatusBadRequest, "No such form", "nothing is kept for this address", "", "/"}
	}
	// What is typed is sent beside the form itself, and may come after it.
	if recorded, _ := q.wasRecorded(key); !recorded {
		if err := q.keepDraft(key, q.R.PostForm, accounts.Draft{At: q.typedAt()}); err != nil {
			return err
		}
		if recorded, _ := q.wasRecorded(key); recorded {
			if err := q.Kept.DropDraft(q.R.Context(), q.Who.ID, key); err != nil {
				return err
			}
		}
	}
	q.W.WriteHeader(http.StatusNoContent)
	return nil
}

// typedAt is when what is kept now was typed, which the page says where it had to wait.
func (q *Request) typedAt() time.Time {
	ago, err := time.ParseDuration(q.R.URL.Query().Get("ago") + "s")
	if err != nil || ago < 0 {
		return q.Now
	}
	return q.Now.Add(-ago)
}

// draftFor is the form of which a request keeps what is typed; empty for none.
func (q *Request) draftFor() string {
	form := Local(q.R.URL.Query().Get("for"))
	if form == "/" || len(form) > 300 {
		return ""
	}
	return form
}

// wasRecorded tells that the form of the request was recorded, by this program or by
// one that ran before it, and whether as it is sent now.
func (q *Request) wasRecorded(action string) (recorded, same bool) {
	content := bare(q.R.PostForm).Encode()
	if recorded, same = q.nonces.recorded(q.nonceKey(action), content); recorded {
		return recorded, same
	}
	now := mark(action, q.R.PostForm.Get("nonce"), content)
	n, recorded := q.Lab.Sent(q.Who.ID, now)
	if !recorded {
		return false, false
	}
	return true, slices.ContainsFunc(q.Lab.FileOf(n).Records, func(r journal.Record) bool { return r.N == n && r.Form == now })
}

// keeping is the path that keeps what is typed; keeper is its address for one form.
const keeping = "/draft"

func keeper(action string) string { return keeping + "?for=" + url.QueryEscape(action) }

// moved says what others have recorded meanwhile; to who may still check it says
// no figure.
func (q *Request) moved(e *replica.MovedError, st *State) view.Notice {
	blind := q.BlindAnywhere(st)
	var all []string
	for _, r := range e.Since {
		if q.Withholds(r.Fact) {
			all = append(all, "entry "+strconv.Itoa(r.N)+", "+WithheldWord)
			continue
		}
		what := fact.KindOf(r.Fact).Past
		if !blind {
			what = words.Say(r.Fact, st.Zone)
		}
		all = append(all, "entry "+strconv.Itoa(r.N)+" at "+st.Zone.Hour(r.Recorded)+" by "+r.By+", "+what)
	}
	out := view.Notice{Kind: "warn", Word: "Look again", Text: "Recorded since this page was opened: " + strings.Join(all, "; ") + "."}
	out.Hint = "Nothing of yours was recorded yet, and what you typed is still here. If it is not done yet and still right, press the button once more."
	if e.Class == fact.Consent {
		out.Hint = "Nothing of yours was recorded, and what you typed is still here. The page shows the present figures: look at them, then sign or send it again."
	}
	return out
}

package vialwright

import (
	"os"
	"slices"
	"testing"
)

// layer is one row of the import table: a folder, what it may import, and
// why no more. A dir that ends in /... covers the folders below it, unless
// they have a row of their own further up.
type layer struct {
	dir    string
	kind   kind
	ours   []string // packages of this module
	others []string // modules of others; "*" for any
	why    string
}

// kind says which of the other rules a layer is held to.
type kind int

const (
	edge    kind = iota // talks to the world; is told the time
	pure                // no input or output, no clock, an Example
	library             // an edge that others call: an Example
	program             // wires the rest together; may ask for the time
)

var (
	base   = []string{"quantity", "identity", "uncertainty", "nuclide", "settling"}
	domain = slices.Concat(base, []string{"form", "dose", "ledger", "slip", "dispensing", "rules", "event", "meter", "learning", "counting"})
	facts  = slices.Concat(domain, []string{"fact", "journal", "casefile", "fold"})
)

const (
	gonum  = "gonum.org/v1/gonum"
	whyTop = "it is reckoned from the packages above it alone, so that it can be checked with pencil and paper; the compiler forbids circles"
)

// room is what a room of the web may import: its subject, what it is told on, and
// no other room.
func room(more ...string) []string {
	return slices.Concat(facts, []string{"people", "picture", "procedure", "web/books", "web/kit", "web/lessons", "web/view", "web/words"}, more)
}

const whyRoom = "a room knows no other, and no driver: what two need is in web/kit, in web/books where it speaks of an order, or in a domain package where it is reckoned"

// layers is the import table. What is not listed is banned.
var layers = []layer{
	{".", pure, nil, nil, "holds no code"},
	{"quantity", pure, nil, nil, "everything rests on it, so it rests on nothing"},
	{"identity", pure, []string{"quantity"}, nil, "what a label names is read before anything is reckoned from it"},
	{"uncertainty", pure, nil, []string{gonum}, "statistics know nothing of nuclides or vials; gonum for special functions"},
	{"nuclide", pure, []string{"quantity", "uncertainty"}, []string{gonum}, "evaluated data know nothing of what is done with them"},
	{"settling", pure, []string{"quantity", "uncertainty"}, []string{gonum}, "physics of a suspension, whatever is in it"},
	{"ledger", pure, domain, []string{gonum}, whyTop + "; gonum for special functions"},
	{"slip", pure, slices.Concat(base, []string{"ledger"}), nil, "which entry slipped follows from the books and from the texts as typed, before anything is decided from them"},
	{"dispensing", pure, domain, nil, whyTop},
	{"meter", pure, domain, []string{gonum}, whyTop + "; gonum for special functions"},
	{"counting", pure, base, nil, "what a counter can see follows from counts and times, whatever was wiped"},
	{"learning", pure, slices.Concat(domain, []string{"pack"}), []string{gonum}, whyTop + "; gonum for special functions"},
	{"dayplan", pure, []string{"quantity", "uncertainty", "nuclide", "dose", "form"}, nil, "which vial serves whom follows from figures and limits that are given, and from no clock: the caller gives a number of steps"},
	{"calendar", library, nil, []string{"github.com/arran4/golang-ical"}, "an event is written for the calendars of others, whatever it is of"},
	{"plainyaml", pure, nil, []string{"go.yaml.in/yaml/v3"}, "what stands in a file is read before anybody asks what it means"},
	{"form", pure, []string{"quantity", "plainyaml"}, nil, "a field is read with its unit before anybody asks what it means"},
	{"dose", pure, []string{"quantity", "uncertainty", "nuclide", "form"}, nil, "the check of a prescription rests on published formulas and on what the order states, on nothing that was prepared"},
	{"rules", pure, []string{"quantity", "form"}, nil, "a rule is data with its citation; what it is applied to is not its business"},
	{"event", pure, []string{"quantity", "uncertainty", "nuclide", "form", "dose", "dispensing", "rules"}, nil, "which paragraph applies follows from what was recorded and from a profile, and from no clock"},
	{"fact", pure, []string{"quantity", "identity", "people"}, nil, "what can be said is declared once, with the act it is recorded under, and reckoned nowhere near"},
	{"fact/facttest", edge, []string{"dispensing", "fact", "journal", "casefile", "fold", "quantity"}, nil, "tests of facts, records, files and the fold share one worked example, and one table of what is refused"},
	{"journal", pure, []string{"fact"}, nil, "whether a chain of records is whole is asked without a figure of a dose"},
	{"casefile", pure, []string{"quantity", "fact", "journal", "plainyaml"}, nil, "a file says what was said; what it comes to is for others"},
	{"fold", pure, slices.Concat(facts, []string{"people"}), nil, "the fold gives the same state on every machine and in every year, so it sees records and nothing else"},
	{"pack", library, nil, nil, "what is kept in few bytes is kept so whatever it means; no pure package, since it takes bytes of a file for values with unsafe"},
	{"pack/aside", library, []string{"pack"}, []string{"golang.org/x/sys"}, "memory in a file asks the system for it, and knows nothing of what lies there"},
	{"state", pure, slices.Concat(facts, []string{"pack", "people"}), nil, "what belongs together follows from the records, on every machine and in every year"},
	{"witness", pure, []string{"fact", "journal"}, []string{"golang.org/x/mod"}, "whether a note and a journal agree follows from the two; x/mod for the format of signed notes"},
	{"witness/keep", edge, []string{"fact", "journal", "store", "store/postgres", "witness"}, []string{"github.com/jackc/pgx/v5", "golang.org/x/mod"}, "brings notes to where they are kept, and knows no screen"},
	{"replica", library, []string{"fact", "fold", "journal", "pack", "people", "quantity", "state", "store", "witness"}, nil, "the journal in memory knows the store's contract and no screen; who decides on an entry is asked"},
	{"meterbook", pure, slices.Concat(facts, []string{"rules"}), nil, "what an instrument is worth follows from its entries and a profile, and from no screen"},
	{"drill", pure, []string{"plainyaml", "fact", "casefile"}, nil, "a drill is data: facts with a fault in them, and what is said of it"},
	{"experience", pure, slices.Concat(facts, []string{"meterbook", "pack"}), nil, "what the cases of a site have taught follows from their facts, and from nothing a screen adds"},
	{"experience/invented", pure, []string{"fact", "journal", "casefile", "fold"}, nil, "a past that never was is made of facts like any other, from a seed"},
	{"protection", pure, slices.Concat(base, []string{"counting"}), nil, whyTop},
	{"inventory", pure, facts, nil, "what is where on the site follows from the folded cases and from the entries of parcels and bins, at any instant that is asked"},
	{"hotlab", pure, slices.Concat(facts, []string{"counting", "inventory", "protection"}), nil, "what stands on the site and what is wrong follows from its entries and from a rule profile, and from no clock"},
	{"hotlab/quarter", pure, []string{"fact", "journal", "casefile", "hotlab"}, nil, "a quarter that never was is made of facts like any other"},
	{"procedure", pure, slices.Concat(facts, []string{"meterbook", "people", "rules"}), nil, "where a preparation stands follows from its facts and from who may do what, never from a screen"},
	{"people", pure, []string{"quantity", "identity"}, nil, "who may do what is a table, and its answers are in the record"},
	{"people/secret", library, []string{"people"}, []string{"github.com/alexedwards/argon2id", "golang.org/x/text"}, "hashing draws a random salt, so it stands apart from the rules"},
	{"accounts", library, []string{"people", "people/secret", "store", "store/vault"}, []string{"github.com/hashicorp/golang-lru/v2", "golang.org/x/time"}, "what opens an account is kept apart from who has which rights, and knows no screen"},
	{"store", library, []string{"journal"}, nil, "a contract names no engine"},
	{"store/sqlite", library, []string{"journal", "store"}, []string{"modernc.org/sqlite"}, "an engine knows its driver and what it keeps, never who asks"},
	{"store/postgres", edge, []string{"journal", "store"}, []string{"github.com/jackc/pgx/v5"}, "an engine knows its driver and what it keeps, never who asks"},
	{"store/postgres/pgtest", edge, nil, []string{"github.com/jackc/pgx/v5"}, "starts a server for tests and knows nothing of what is kept there"},
	{"store/vault/sqlitevault", library, []string{"store", "store/vault"}, []string{"modernc.org/sqlite"}, "what may change and be lost stands apart from the journal, which may not"},
	{"store/vault", library, []string{"store"}, nil, "a contract names no engine"},
	{"store/vault/postgresvault", edge, []string{"store", "store/postgres", "store/vault"}, []string{"github.com/jackc/pgx/v5"}, "what may change and be lost stands apart from the journal, which may not"},
	{"store/vault/vaulttest", edge, []string{"store", "store/vault"}, nil, "what stands on a vault is tested on one in memory, and each engine by one suite"},
	{"store/storetest", edge, []string{"journal", "store"}, nil, "what stands on a log is tested on one in memory, and each engine by one suite"},
	{"instrument", library, facts, []string{"go.bug.st/serial"}, "a line from a meter becomes a reading; who keeps or shows it is not its business"},
	{"paper", library, slices.Concat(facts, []string{"meterbook"}), []string{"codeberg.org/go-pdf/fpdf", "github.com/boombuler/barcode", "golang.org/x/text"}, "a sheet is drawn from a finished state, so that it can be drawn again years later"},
	{"picture", library, []string{"quantity", "nuclide", "settling"}, nil, "a picture is drawn from finished values, so that it can be looked at without a laboratory"},
	{"web/browsertest", edge, nil, []string{"github.com/chromedp/chromedp", "github.com/chromedp/cdproto"}, "what a person meets is tried from outside, on the program as it is built"},
	{"web/view", edge, []string{"quantity"}, nil, "a page is made of finished texts"},
	{"web/assets", edge, []string{"picture"}, nil, "styles and scripts know what is drawn, and no page"},
	{"web/live", edge, slices.Concat(facts, []string{"instrument"}), []string{"github.com/hashicorp/golang-lru/v2"}, "what a meter says now is told to anyone who asks, in no words of a page"},
	{"web/words", edge, []string{"fact", "journal", "people", "quantity", "web/view"}, nil, "a fact is said the same way in every room"},
	{"web/kit", edge, []string{"accounts", "fact", "journal", "casefile", "fold", "people", "people/secret", "pack", "procedure", "quantity", "replica", "rules", "store", "store/vault", "web/view", "web/words", "witness"}, []string{"github.com/hashicorp/golang-lru/v2"}, "it knows no subject and no driver: a handler asks an interface, so that it is tested without a database"},
	{"web/lessons", edge, slices.Concat(facts, []string{"experience", "meterbook", "pack", "replica", "rules", "web/kit", "web/words"}), nil, "what the books have taught is kept up with them, and said by the rooms"},
	{"web/books", edge, slices.Concat(facts, []string{"hotlab", "inventory", "paper", "people", "picture", "procedure", "replica", "web/kit", "web/view", "web/words"}), nil, "what several rooms say of an order, and the page of none"},
	{"web/readings", edge, slices.Concat(facts, []string{"instrument", "people", "procedure", "web/kit", "web/live", "web/view", "web/words"}), nil, "how a reading comes from a meter into a form is the same for every form"},
	{"web/clock", edge, room(), []string{"github.com/hashicorp/golang-lru/v2"}, "the clock after resuspension is asked by the bench, and knows none of its forms"},
	{"web/board", edge, room("meterbook"), nil, whyRoom},
	{"web/forms", edge, room("paper", "web/clock", "web/live", "web/readings"), nil, "what a form of an order asks and refuses, and no page"},
	{"web/documents", edge, room("paper"), nil, whyRoom},
	{"web/preparation", edge, room("meterbook", "web/clock", "web/forms", "web/live", "web/readings"), nil, whyRoom},
	{"web/stock", edge, room(), nil, whyRoom},
	{"web/hotlab", edge, room("counting", "hotlab", "inventory", "protection", "replica"), nil, whyRoom},
	{"web/instruments", edge, room("meterbook", "paper"), nil, whyRoom},
	{"web/plan", edge, room("calendar", "dayplan", "inventory"), nil, whyRoom},
	{"web/experience", edge, room("experience"), nil, whyRoom},
	{"web/accounts", edge, room("accounts", "people/secret"), nil, whyRoom},
	{"web/record", edge, room("replica", "store"), nil, whyRoom},
	{"web/site", edge, room("paper", "store", "web/live", "web/readings"), nil, whyRoom},
	{"web/practice", edge, room("drill"), nil, whyRoom},
	{"web/webtest", edge, []string{"experience/invented", "identity", "fact", "journal", "casefile", "people", "people/secret", "store", "store/storetest", "store/vault", "store/vault/vaulttest", "replica", "web", "web/kit"}, nil, "tests of every room meet the program as people do"},
	{"web", edge, []string{"procedure", "rules", "web/accounts", "web/assets", "web/board", "web/documents", "web/instruments", "web/kit", "web/experience", "web/hotlab", "web/lessons", "web/live", "web/plan", "web/practice", "web/preparation", "web/record", "web/site", "web/stock"}, nil, "it puts rooms together, and does nothing else"},
	{"cmd/...", program, []string{"*"}, []string{"*"}, "the one place that knows every part and what time it is"},
	{"bench/...", program, []string{"*"}, []string{"*"}, "measures elapsed time"},
}

// ban is something a pure package may not import (path, and what lies below
// it) or mention (path.name), and the reason.
type ban struct {
	path, name string
	why        string
}

const (
	whyIO    = "what it reads would not be in the journal"
	whyClock = "the instant is part of the question: take it as an argument"
	whyRand  = "the same question has to get the same answer: take a source with a seed"
)

// pureBans holds for pure packages.
var pureBans = []ban{
	{"context", "", "there is nothing to wait for in a calculation"},
	{"crypto/rand", "", whyRand},
	{"database/sql", "", whyIO},
	{"expvar", "", whyIO},
	{"flag", "", "a setting is an entry of the journal or an argument"},
	{"io", "", whyIO + "; take and give bytes"},
	{"log", "", "a finding is returned, where a person sees it"},
	{"math/rand", "", whyRand + " from math/rand/v2"},
	{"net", "", whyIO},
	{"os", "", whyIO},
	{"plugin", "", whyIO},
	{"syscall", "", whyIO},
	{"testing", "", "belongs into a test file"},
	{"unsafe", "", "no calculation here needs it"},
	{"fmt", "Print", "a result is returned"},
	{"fmt", "Printf", "a result is returned"},
	{"fmt", "Println", "a result is returned"},
	{"fmt", "Scan", whyIO},
	{"fmt", "Scanf", whyIO},
	{"fmt", "Scanln", whyIO},
	{"time", "After", whyClock},
	{"time", "AfterFunc", whyClock},
	{"time", "Local", "the zone of this machine is not that of the journal"},
	{"time", "NewTicker", whyClock},
	{"time", "NewTimer", whyClock},
	{"time", "Tick", whyClock},
}

// clockBans holds for every package but programs.
var clockBans = []ban{
	{"time", "Now", whyClock},
	{"time", "Since", whyClock},
	{"time", "Until", whyClock},
	{"time", "Sleep", "wait for what you are waiting for"},
}

// seeded are the only names of math/rand/v2 a pure package may mention; all
// others draw from a source that nobody seeded.
var seeded = []string{"New", "NewPCG", "NewChaCha8", "NewZipf", "Rand", "Source", "PCG", "ChaCha8", "Zipf"}

const (
	maxFile = 450 // lines of a file
	maxFunc = 70  // lines of a function
)

// TestTidy holds the whole tree to the rules.
func TestTidy(t *testing.T) {
	findings, err := check(os.DirFS("."), layers...)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range findings {
		t.Error(f)
	}
}

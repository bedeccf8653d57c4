package journal_test

import (
	"fmt"
	"time"

	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/journal"
)

// A record has one encoding, and a link binds it to all before it. Without
// this program, the digest and the hash of the first are what the shell prints for
//
//	printf '%s %s' "$salt" "$record" | sha256sum
//	printf '%064d\n1\n%s\n' 0 "$digest" | sha256sum
func ExampleSeal() {
	at := time.Date(2027, 3, 4, 12, 10, 31, 0, time.UTC)
	links, err := journal.Seal(journal.Head{}, facttest.Salt,
		journal.Record{Recorded: at, By: "rp-3", Fact: &fact.Site{Zone: "Atlantic/Azores"}},
		journal.Record{Recorded: at, By: "rp-3", Fact: &fact.Note{Text: `the "new" syringes`}},
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range links {
		fmt.Println(l)
	}
	// Output:
	// 1 100c77bf7451460a6921c8bd874d45d50c9569f2ce4c636272c9f304823098db fbd0ee850fe3b308877877b6a022fe5813d3986619975bc50392d318f15977c8 01020300000000000000000000000000 {"v":2,"recorded":"2027-03-04T12:10:31Z","by":"rp-3","kind":"site","fact":{"zone":"Atlantic/Azores"}}
	// 2 2f1e7c3e0f9a869fbb4ca801f17e6a116dc42a879bc2722b2d54396ce1e3dc36 ea8f29c8b71eece7b2ac22ee3b5b42d9d5768dce6eacc42d6b121c6ecd226ccb 01020300000000000000000000000000 {"v":2,"recorded":"2027-03-04T12:10:31Z","by":"rp-3","kind":"note","fact":{"text":"the \"new\" syringes"}}
}

// A journal that was changed says where.
func ExampleVerify() {
	at := time.Date(2027, 3, 4, 12, 10, 31, 0, time.UTC)
	note := func(text string) journal.Record {
		return journal.Record{Recorded: at, By: "rp-3", Fact: &fact.Note{Text: text}}
	}
	links, err := journal.Seal(journal.Head{}, facttest.Salt, note("one"), note("two"), note("three"))
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := journal.Verify(facttest.Seq(links))
	fmt.Println(r.Records, "records, head", r.Head.Hash.String()[:8], err)
	links[1].Body = links[2].Body
	r, err = journal.Verify(facttest.Seq(links))
	fmt.Println(r.Records, "record is sound;", err)
	// Output:
	// 3 records, head 6c9d7738 <nil>
	// 1 record is sound; link 2: the hash is not that of the record and the link before: one of them was changed
}

package witness_test

import (
	"crypto/sha256"
	"fmt"
	"time"

	"vialwright/journal"
	"vialwright/witness"
)

// A journal had 78 records when its head was noted, and now ends at record 66.
func ExampleJudge() {
	hash := func(n uint64) journal.Hash { return sha256.Sum256([]byte(fmt.Sprint(n))) }
	at := time.Date(2027, 3, 4, 12, 10, 3, 0, time.UTC)
	file := witness.Store{Engine: "sqlite", Line: 4, Count: 57}
	noted := witness.Note{Site: "hotlab", Head: journal.Head{Seq: 78, Hash: hash(78)}, First: hash(1), At: at, Store: file}

	now := witness.Journal{Site: "hotlab", Records: 66, Hash: hash, Store: file}
	for _, fault := range witness.Judge(now, []witness.Told{{Place: "/mnt/suite", Note: noted, Signed: true}}) {
		fmt.Println(fault.Code)
		fmt.Println(fault.Msg)
	}
	// Output:
	// older-copy
	// records 67 to 78 are missing; there were 78, noted on 2027-03-04 12:10 UTC. The tables were not touched: an older copy of the file was put back, or the -wal file beside it was lost or damaged
}

// A head as it is printed for people, and as somebody types it.
func ExampleDigits() {
	h := journal.Hash(sha256.Sum256([]byte("78")))
	fmt.Println(witness.Digits(h, 24))
	digits, err := witness.ReadDigits("349C 41201b62")
	fmt.Println(digits, err)
	// Output:
	// 349c 4120 1b62 db85 1192 665c-c
	// 349c41201b62 <nil>
}

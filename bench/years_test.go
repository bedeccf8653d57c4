package main

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	collector "runtime/metrics"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/experience/invented"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/pack/aside"
	"vialwright/store"
	"vialwright/store/sqlite"
	"vialwright/store/vault/sqlitevault"
)

// A journal of a busy network over ten years has two million entries; one of a
// twentieth of that is measured beside it, and of each the first year.
const (
	years       = 10
	workingDays = 250
	entriesEach = 16 // of a finished preparation, about
	sealed      = 1000
)

// BenchmarkYears100k and BenchmarkYears2M invent the ten years of a network,
// write them through the store, and measure what its size costs: the start of
// the program until the first page is there, the memory it holds, the board and
// one bench. Each is measured in a process of its own, beside the verification
// of the whole journal, and beside the same with the first year alone; the pages of
// both in turns in one process, since the machine changes more from one process to the next.
func BenchmarkYears100k(b *testing.B) { measureYears(b, 100_000) }
func BenchmarkYears2M(b *testing.B)   { measureYears(b, 2_000_000) }

func measureYears(b *testing.B, entries int) {
	for b.Loop() {
		dir := b.TempDir()
		all, first := filepath.Join(dir, "ten"), filepath.Join(dir, "one")
		apart(b, "invent", all, entries, workingDays*years)
		apart(b, "invent", first, entries/years, workingDays)
		read := apart(b, "serve", all)
		apart(b, "serve", first)
		one := apart(b, "serve", first)
		ten := apart(b, "serve", all) // from the checkpoint that the first start has made
		if ten["from-checkpoint"] == 0 {
			b.Fatal("the second start has no checkpoint")
		}
		paged := apart(b, "look", dir)
		whole := apart(b, "verify", all)
		b.ReportMetric(float64(entries), "entries")
		b.ReportMetric(whole["took-ms"], "verify-ms")
		b.ReportMetric(ten["first-page-ms"], "first-page-ms")
		b.ReportMetric(read["first-page-ms"], "read-first-page-ms")
		b.ReportMetric(ten["first-page-cpu-ms"], "first-page-cpu-ms")
		b.ReportMetric(whole["cpu-ms"], "verify-cpu-ms")
		b.ReportMetric(ten["checkpoint-MB"], "checkpoint-MB")
		for _, what := range []string{"resident", "anonymous", "mapped", "most", "live", "aside"} {
			b.ReportMetric(ten[what+"-MB"], what+"-MB")
			b.ReportMetric(one[what+"-MB"], "year1-"+what+"-MB")
		}
		for _, page := range []string{"board", "bench"} {
			for _, which := range []string{"-p50-ms", "-p99-ms"} {
				b.ReportMetric(paged["ten-"+page+which], page+which)
				b.ReportMetric(paged["one-"+page+which], "year1-"+page+which)
			}
		}
	}
}

// past writes about so many invented entries of so many days into an empty log, up
// to the day before yesterday, and a day that is open behind them.
func past(ctx context.Context, log store.Log, entries, days int) error {
	perDay := max(1, entries/entriesEach/days)
	var prev journal.Head
	var batch []journal.Record
	flush := func() error {
		links, err := journal.Seal(prev, salt, batch...)
		if err != nil || len(links) == 0 {
			return err
		}
		records := make([]store.Record, len(links))
		for i, l := range links {
			records[i] = store.Record{Seq: l.Seq, Hash: l.Hash, Body: []byte(l.Body)}
		}
		err = log.Append(ctx, store.Head{Seq: prev.Seq, Hash: prev.Hash}, records...)
		prev, batch = links[len(links)-1].Head(), batch[:0]
		return err
	}
	end := time.Now().AddDate(0, 0, -2)
	from := end.AddDate(0, 0, -entries/entriesEach/perDay)
	for r, err := range invented.Busy(from, perDay, 1, time.LoadLocation) {
		if err != nil {
			return err
		}
		if order, ok := r.Fact.(*fact.Order); ok && r.Recorded.After(end) && order.ID != "" {
			break
		}
		if batch = append(batch, r); len(batch) == sealed {
			if err := flush(); err != nil {
				return err
			}
		}
	}
	open, err := casefile.Decode([]byte(today(time.Now())), time.LoadLocation)
	if err != nil {
		return err
	}
	placed := casefile.Place(open.Facts, int(prev.Seq)+len(batch), time.Now(), func(fact.Fact) bool { return true })
	for _, f := range placed {
		batch = append(batch, journal.Record{Recorded: time.Now().UTC().Truncate(time.Millisecond), By: "RP1", Fact: f})
	}
	return flush()
}

// salt is not secret here: the journal is invented.
func salt() (s journal.Salt) { return s }

// today is an open day: ten orders and two vials, one of them measured and drawn
// from.
func today(now time.Time) string {
	at := func(minutes int) string {
		return now.Add(time.Duration(minutes) * time.Minute).UTC().Format(time.RFC3339)
	}
	var b strings.Builder
	b.WriteString(invented.Header + "entries:\n")
	add := func(format string, args ...any) { fmt.Fprintf(&b, "  - "+format+"\n", args...) }
	for i := range 10 {
		add("order: {id: OPEN-%02d, patient: INVENTED-%02d, territory: right lobe, version: \"1\", prescribed: 0.30 GBq, at: %s, residual: 3 %%, by: an invented physician}", i, i, at(240))
	}
	for i := range 2 {
		add("receive: {vial: TODAY-%d, lot: INVENTED, labelled: 3 GBq, reference: %s, volume: 5 mL, at: %s}", i, at(600), at(-60))
	}
	add("read: {of: TODAY-0, meter: M1, at: %s, gross: 3300 MBq, background: 0.2 MBq}", at(-30))
	add("agitate: {of: TODAY-0, at: %s}", at(-21))
	add("draw: {from: TODAY-0, into: DRAWN-0, for: OPEN-00, at: %s, volume: 0.5 mL, agitated: %s}", at(-20), at(-21))
	return b.String()
}

// child says what this process is to do when it was started by a benchmark.
const child = "VIALWRIGHT_BENCH_CHILD"

// apart does something in a process of its own, and gives what it measured.
func apart(b *testing.B, what, path string, size ...int) map[string]float64 {
	b.Helper()
	cmd := exec.CommandContext(b.Context(), os.Args[0], "-test.run=^TestChild$", "-test.count=1")
	cmd.Env = append(os.Environ(), child+"="+what+" "+path+" "+fmt.Sprint(size))
	out, err := cmd.CombinedOutput()
	line, _, _ := strings.Cut(string(out), "\n")
	found := map[string]float64{}
	if err == nil {
		err = json.Unmarshal([]byte(line), &found)
	}
	if err != nil {
		b.Fatalf("%s: %v\n%s", what, err, out)
	}
	return found
}

// TestChild is the process that is measured; without its order from a benchmark
// it does nothing.
func TestChild(t *testing.T) {
	var what, path string
	var entries, days int
	if n, _ := fmt.Sscanf(os.Getenv(child), "%s %s [%d %d]", &what, &path, &entries, &days); n < 2 {
		t.Skip("it is started by the benchmarks of the years")
	}
	found := map[string]float64{}
	switch what {
	case "invent":
		log, err := sqlite.Create(t.Context(), path)
		check(t, err)
		check(t, past(t.Context(), log, entries, days))
		check(t, log.Close())
	case "verify":
		begin := time.Now()
		log, err := sqlite.OpenReadOnly(t.Context(), path)
		check(t, err)
		_, err = journal.Verify(links(t.Context(), log))
		check(t, err)
		found["took-ms"], found["cpu-ms"] = ms(time.Since(begin)), ms(cpu(t))
		check(t, log.Close())
	case "serve":
		serveYears(t, path, found)
	case "look":
		lookYears(t, path, found)
	}
	for name, which := range map[string]string{"resident": "VmRSS", "anonymous": "RssAnon", "mapped": "RssFile", "most": "VmHWM"} {
		found[name+"-MB"] = resident(t, which)
	}
	out, err := json.Marshal(found)
	check(t, err)
	fmt.Println(string(out))
}

func links(ctx context.Context, log store.Log) func(yield func(journal.Link, error) bool) {
	return func(yield func(journal.Link, error) bool) {
		for x, err := range log.Read(ctx, 1, store.All) {
			if !yield(journal.Link{Seq: x.Seq, Hash: x.Hash, Body: string(x.Body)}, err) || err != nil {
				return
			}
		}
	}
}

// checkpoints are kept in a file with a code, as the program does.
type checkpoints string

func (c checkpoints) code(data []byte) []byte {
	sum := sha256.Sum256(data)
	h := hmac.New(sha256.New, []byte("a key of 32 bytes for a benchmark"))
	h.Write(sum[:])
	return h.Sum(nil)
}

func (c checkpoints) Load() ([]byte, error) {
	data, err := os.ReadFile(string(c))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil || len(data) < sha256.Size || !hmac.Equal(data[:sha256.Size], c.code(data[sha256.Size:])) {
		return nil, errors.New("it was changed")
	}
	return data[sha256.Size:], nil
}

func (c checkpoints) Save(data []byte) error {
	return os.WriteFile(string(c), append(c.code(data), data...), 0o600)
}

// looks is how often each page is looked at.
const looks = 1000

// pages are those whose times are compared, by what they are called here.
var pages = map[string]string{"board": "/", "bench": "/order/OPEN-00"}

// opened starts the server over a journal, and gives what looks at a page of it.
func opened(t *testing.T, path string) (l *laboratory, room *aside.Room, look func(at string) time.Duration) {
	log, err := sqlite.Open(t.Context(), path)
	check(t, err)
	v, err := sqlitevault.Open(t.Context(), path+".kept")
	check(t, err)
	t.Cleanup(func() { check(t, v.Close()); check(t, log.Close()) })
	room = aside.New(filepath.Dir(path), func(err error) { t.Error(err) })
	l = open(t, log, v, 1, checkpoints(path+".checkpoint"), room)
	return l, room, func(at string) time.Duration {
		begin := time.Now()
		status, page, err := l.people[0].get(at)
		if err != nil || status != http.StatusOK {
			t.Fatalf("%s: %d %v\n%s", at, status, err, page)
		}
		return time.Since(begin)
	}
}

// serveYears starts the server, and looks at the board and a bench.
func serveYears(t *testing.T, path string, found map[string]float64) {
	begin := time.Now()
	l, room, look := opened(t, path)
	_, _, quick := l.server.Lab.Behind()
	found["from-checkpoint"] = map[bool]float64{true: 1}[quick]
	look("/")
	found["first-page-ms"], found["first-page-cpu-ms"] = ms(time.Since(begin)), ms(cpu(t))
	<-l.server.Settled // what goes on behind the pages is no part of the memory that is measured below
	if info, err := os.Stat(path + ".checkpoint"); err == nil {
		found["checkpoint-MB"] = float64(info.Size()) / 1e6
	}
	for _, at := range pages {
		for range looks {
			look(at)
		}
	}
	found["aside-MB"] = float64(room.Size()) / 1e6
	live := []collector.Sample{{Name: "/gc/heap/live:bytes"}}
	collector.Read(live)
	found["live-MB"] = float64(live[0].Value.Uint64()) / 1e6
}

// lookYears looks at each page of both journals in turns.
func lookYears(t *testing.T, dir string, found map[string]float64) {
	look := map[string]func(string) time.Duration{}
	for _, journal := range []string{"ten", "one"} {
		l, _, at := opened(t, filepath.Join(dir, journal))
		look[journal] = at
		at("/")
		<-l.server.Settled
	}
	for page, at := range pages {
		took := map[string][]time.Duration{}
		for range looks {
			for journal := range look {
				took[journal] = append(took[journal], look[journal](at))
			}
		}
		for journal, all := range took {
			found[journal+"-"+page+"-p50-ms"], found[journal+"-"+page+"-p99-ms"] = ms(percentile(all, 0.5)), ms(percentile(all, 0.99))
		}
	}
}

// cpu is how long the processors have worked for this process, which others on the
// machine change little.
func cpu(t *testing.T) time.Duration {
	var u syscall.Rusage
	check(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// resident is the memory of this process, in MB, as Linux says it.
func resident(t *testing.T, which string) float64 {
	text, err := os.ReadFile("/proc/self/status")
	check(t, err)
	_, rest, _ := strings.Cut(string(text), which+":")
	kb, err := strconv.ParseFloat(strings.Fields(rest)[0], 64)
	check(t, err)
	return kb / 1000
}

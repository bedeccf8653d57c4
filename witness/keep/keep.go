package keep

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"golang.org/x/mod/sumdb/note"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/witness"
)

// Options are what a Keeper is made of. Clock must be given.
type Options struct {
	// Key signs; without one nothing is noted at the places. Known are further keys
	// whose notes count, such as of another bench or an older one.
	Key   note.Signer
	Known []note.Verifier
	// Site is the name whose notes are asked for; that of the key where there is one.
	Site string
	// Places are where notes go, as the package comment has them; Shown gives one of
	// them as it may be printed.
	Places []string
	Shown  func(string) string
	// Beside is the file of the head that was acknowledged last. Optional.
	Beside string
	// Log is asked for its mark, where it gives one. Optional.
	Log store.Log
	// Unsound is why the store itself lets nothing be recorded. Optional.
	Unsound error
	Clock   func() time.Time
}

// Keeper notes the heads of one journal. It may be used by many goroutines.
type Keeper struct {
	o      Options
	known  note.Verifiers
	beside *beside
	posts  []*post
	due    chan struct{} // has room for one
	stop   chan struct{}
	ended  sync.WaitGroup
	once   sync.Once

	mu     sync.Mutex
	now    witness.Note // of what was taken last, not dated
	signed uint64       // number of the newest record that was noted
	faults []witness.Fault
}

// hour is how often a note is made where something was recorded.
const hour = time.Hour

// New makes a Keeper, which asks no place and sends nothing yet. It fails where a
// place cannot be read.
func New(o Options) (*Keeper, error) {
	k := &Keeper{o: o, due: make(chan struct{}, 1), stop: make(chan struct{})}
	if o.Key != nil {
		k.o.Site = o.Key.Name()
	}
	k.known = note.VerifierList(o.Known...)
	k.now.Site = k.o.Site
	if k.o.Site == "" {
		k.now.Site = "journal"
	}
	if o.Beside != "" {
		k.beside = &beside{path: o.Beside}
	}
	for _, text := range o.Places {
		shown := text
		if o.Shown != nil {
			shown = o.Shown(text)
		}
		p, err := opened(text, shown)
		if err != nil {
			return nil, fmt.Errorf("the witness %s cannot be used: %w", shown, err)
		}
		k.posts = append(k.posts, newPost(p, o.Clock))
	}
	return k, nil
}

// askFor is how long a place may take to give its notes when the journal is
// opened, and atStart how many are asked for then: the newest covers all before it.
const (
	askFor  = 15 * time.Second
	atStart = 50
	all     = 1 << 20
)

// Ask gives what the places and the file beside the journal have, with what is
// wrong with it: places that do not answer, and notes that cannot be believed.
func (k *Keeper) Ask(ctx context.Context) ([]witness.Told, []witness.Fault) {
	return k.ask(ctx, all)
}

func (k *Keeper) ask(ctx context.Context, most int) (told []witness.Told, faults []witness.Fault) {
	type answer struct {
		data [][]byte
		err  error
	}
	ctx, cancel := context.WithTimeout(ctx, askFor)
	defer cancel()
	answers := make([]chan answer, len(k.posts))
	for i, p := range k.posts {
		answers[i] = make(chan answer, 1) // a place that hangs is not waited for
		go func() {
			data, err := p.place.notes(ctx, k.o.Site, most)
			answers[i] <- answer{data, err}
		}()
	}
	for i, p := range k.posts {
		name := p.place.name()
		a := answer{err: errors.New("it does not answer")}
		select {
		case a = <-answers[i]:
		case <-ctx.Done():
			select { // one may have answered while another was waited for
			case a = <-answers[i]:
			default:
			}
		}
		if a.err != nil {
			faults = append(faults, witness.Fault{Code: "unreachable", Place: name, Msg: "it cannot be asked: " + a.err.Error(), Hint: "bring it back; until then it shows nothing"})
		}
		for _, data := range a.data {
			n, err := witness.Open(data, k.known)
			if e, bad := errors.AsType[*witness.Error](err); bad {
				f := witness.Fault{Code: e.Code, Place: name, Msg: e.Msg, Hint: e.Hint}
				if !slices.Contains(faults, f) {
					faults = append(faults, f)
				}
				continue
			}
			if n.Site != k.o.Site {
				faults = append(faults, witness.Fault{Code: "other-site", Place: name, Msg: "there is a note of the site " + n.Site + " among those of " + k.o.Site, Hint: "take it out of this place"})
				continue
			}
			told = append(told, witness.Told{Place: name, Note: n, Signed: true})
		}
	}
	if k.beside != nil {
		n, found, err := k.beside.read()
		if err != nil {
			faults = append(faults, witness.Fault{Code: "damaged-note", Place: k.beside.path, Msg: err.Error(), Hint: "nothing is to be done; it is written again"})
		}
		if found {
			told = append(told, witness.Told{Place: k.beside.path, Note: n})
		}
	}
	return told, faults
}

// Judge compares a journal with what was noted of it. What it gives stops
// recording. Afterwards notes are made of what is taken. It is asked once, before
// anything is appended.
func (k *Keeper) Judge(ctx context.Context, j witness.Journal) error {
	j.Store = k.mark(ctx)
	told, faults := k.ask(ctx, atStart)
	judged := witness.Judge(j, told)
	if len(judged) > 0 && judged[0].Stop {
		told, faults = k.ask(ctx, all) // to say when it was
		judged = witness.Judge(j, told)
	}
	if e := k.o.Unsound; e != nil {
		judged = append([]witness.Fault{{Code: "unsound", Stop: true, Msg: e.Error(), Hint: "work on paper until it is known what happened"}}, judged...)
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	k.faults = slices.Concat(judged, k.resumed(told), faults)
	if len(judged) > 0 && judged[0].Stop {
		return &judged[0]
	}
	for _, p := range k.posts {
		for _, t := range told {
			if j.Holds(t.Note) { // another may be of before a loss
				p.has(t)
			}
		}
	}
	k.signed = k.everywhere()
	k.now.Store = j.Store
	k.take(j)
	if k.beside != nil {
		if err := k.beside.write(k.now); err != nil {
			k.fault("unnoted", k.beside.path, "the head of the journal cannot be noted there: "+err.Error(), "let the account of the program write the file; until then nothing beside the journal tells an older copy of it")
		}
	}
	k.begin()
	return nil
}

// fault adds what does not stop recording, once. The caller holds mu.
func (k *Keeper) fault(code, place, msg, hint string) {
	f := witness.Fault{Code: code, Place: place, Msg: msg, Hint: hint}
	if !slices.Contains(k.faults, f) {
		k.faults = append(k.faults, f)
	}
}

// saidFor is how long the start says that somebody let recording go on after a loss.
const saidFor = 30 * 24 * time.Hour

// resumed says who let recording go on after a loss, so that nobody does it unseen
// with a key that was stolen.
func (k *Keeper) resumed(told []witness.Told) (out []witness.Fault) {
	for _, n := range witness.Resumptions(told) {
		if k.o.Clock().Sub(n.At) < saidFor {
			out = append(out, witness.Fault{
				Code: "resumed", Msg: fmt.Sprintf("recording went on after a loss behind record %d, on %s, by %s: %s", n.Head.Seq, n.At.Format("2006-01-02 15:04 MST"), n.ResumedBy, n.ResumedWhy),
				Hint: "if nobody of this site did that, the signing key is in other hands: stop, and make a new one",
			})
		}
	}
	return out
}

// take notes how far the journal goes. The caller holds mu.
func (k *Keeper) take(j witness.Journal) {
	k.now.Practice, k.now.At = j.Practice, k.o.Clock().UTC().Truncate(time.Second)
	if j.Records > 0 {
		k.now.Head, k.now.First = journal.Head{Seq: j.Records, Hash: j.Hash(j.Records)}, j.Hash(1)
	}
}

// everywhere is the number up to which every place has a note that can be asked
// for one.
func (k *Keeper) everywhere() uint64 {
	n := uint64(math.MaxUint64)
	for _, p := range k.posts {
		if _, printed := p.place.(strip); !printed {
			n = min(n, p.standing().Last.Head.Seq)
		}
	}
	if n == math.MaxUint64 {
		return 0
	}
	return n
}

// mark is what the store says of itself; nothing where it does not answer.
func (k *Keeper) mark(ctx context.Context) witness.Store {
	if m, ok := k.o.Log.(store.Marked); ok {
		if mark, err := m.Mark(ctx); err == nil {
			return witness.Store(mark)
		}
	}
	return witness.Store{}
}

// Taken is told of a journal whose newest records, which are given, are on the
// disk. It waits for nothing but the file beside the journal, and not for that to
// be on the disk.
func (k *Keeper) Taken(j witness.Journal, records []journal.Record) {
	k.mu.Lock()
	k.take(j)
	n := k.now
	k.mu.Unlock()
	if k.beside != nil {
		_ = k.beside.write(n) // a lower bound: what is not written leaves it lower
	}
	if slices.ContainsFunc(records, atOnce) {
		k.wake()
	}
}

// atOnce tells whether a note is made right after a record.
func atOnce(r journal.Record) bool {
	switch r.Fact.(type) {
	case *fact.Release, *fact.Close:
		return true
	}
	return false
}

func (k *Keeper) wake() {
	select {
	case k.due <- struct{}{}:
	default:
	}
}

// begin lets notes be made and sent. The caller holds mu.
func (k *Keeper) begin() {
	if k.o.Key == nil || len(k.posts) == 0 {
		return
	}
	for _, p := range k.posts {
		k.ended.Go(p.run)
	}
	k.ended.Go(func() {
		hourly := time.NewTicker(hour)
		defer hourly.Stop()
		for {
			k.sign()
			select {
			case <-k.due:
			case <-hourly.C:
			case <-k.stop:
				k.sign()
				for _, p := range k.posts {
					close(p.last)
				}
				return
			}
		}
	})
}

// sign makes a note of what was recorded since the last one, and sends it.
func (k *Keeper) sign() {
	ctx, cancel := context.WithTimeout(context.Background(), askFor)
	defer cancel()
	mark := k.mark(ctx)
	k.mu.Lock()
	defer k.mu.Unlock()
	if mark.Engine != "" {
		k.now.Store = mark
	}
	if k.now.Head.Seq <= k.signed {
		return
	}
	n := k.now
	n.At = k.o.Clock().UTC().Truncate(time.Second)
	data, err := witness.Sign(n, k.o.Key)
	if err != nil {
		k.fault("unsigned", "", "no note could be made: "+err.Error(), "tell the person who looks after the program")
		return
	}
	k.signed = n.Head.Seq
	for _, p := range k.posts {
		p.send(letter{n, data})
	}
}

// Resume signs a note that lets recording go on with the journal as it is, and has
// it at every place that takes it; it fails where none does, if there are any.
func (k *Keeper) Resume(ctx context.Context, j witness.Journal, by, why string) error {
	n := witness.Note{
		Site: k.now.Site, Practice: j.Practice, Head: journal.Head{Seq: j.Records}, At: k.o.Clock().UTC().Truncate(time.Second), Store: k.mark(ctx),
		ResumedBy: by, ResumedWhy: why,
	}
	if j.Records > 0 {
		n.Head.Hash, n.First = j.Hash(j.Records), j.Hash(1)
	}
	if k.beside != nil {
		plain := n
		plain.ResumedBy, plain.ResumedWhy = "", ""
		if err := k.beside.write(plain); err != nil {
			return err
		}
	}
	if len(k.posts) == 0 {
		return nil
	}
	if k.o.Key == nil {
		return errors.New("the places that were named keep signed notes, and there is no key to sign with: name it with --sign")
	}
	data, err := witness.Sign(n, k.o.Key)
	if err != nil {
		return err
	}
	var errs []error
	for _, p := range k.posts {
		if err := p.place.put(ctx, n, data); err != nil {
			errs = append(errs, fmt.Errorf("%s: %w", p.place.name(), err))
		}
	}
	if len(errs) == len(k.posts) {
		return errors.Join(errs...)
	}
	return nil
}

// Standing says how each place does.
func (k *Keeper) Standing() (out []witness.Standing) {
	for _, p := range k.posts {
		out = append(out, p.standing())
	}
	return out
}

// Faults is what was found when the journal was opened, also what does not stop
// recording.
func (k *Keeper) Faults() []witness.Fault {
	k.mu.Lock()
	defer k.mu.Unlock()
	return slices.Clone(k.faults)
}

// goodbye is how long places may take when the program ends.
const goodbye = 5 * time.Second

// Close makes a last note and waits a little until it is sent. The head is noted
// again at the next start by whatever place did not get it.
func (k *Keeper) Close() {
	k.once.Do(func() {
		close(k.stop)
		done := make(chan struct{})
		go func() {
			k.ended.Wait()
			close(done)
		}()
		late := time.NewTimer(goodbye)
		defer late.Stop()
		select {
		case <-done:
		case <-late.C:
		}
		for _, p := range k.posts {
			p.cancel()
			p.place.close()
		}
		if k.beside != nil {
			k.beside.close()
		}
	})
}

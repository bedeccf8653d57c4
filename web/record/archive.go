package record

import (
	"archive/zip"
	"bytes"
	"context"
	"strconv"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/replica"
	"vialwright/web/kit"
	"vialwright/web/words"
)

// DayArchive is what was recorded on some days, to be taken out of a journal: the
// raw lines, and every group that they belong to as a case file that stands alone.
type DayArchive struct {
	Zones fact.Zones
	Zone  string
	// From is the beginning of the first day, End the end of the last.
	From, End time.Time
	Lines     []byte
	Files     []*replica.File
	// Head is that of the journal, which was verified up to it.
	Head journal.Head
	// Mark is that of practice; By who takes it out.
	Mark, By, Version string
	Now               time.Time
}

// Fill takes what was recorded on the days out of a journal.
func (a *DayArchive) Fill(ctx context.Context, lab *replica.Replica) error {
	lines, numbers, err := lab.Lines(ctx, func(r journal.Record) bool { return !r.Recorded.Before(a.From) && r.Recorded.Before(a.End) })
	if err != nil {
		return err
	}
	a.Lines, a.Files, a.Head = lines, lab.FilesOf(numbers), lab.Report().Head
	return nil
}

// Name is that of the file.
func (a *DayArchive) Name() string {
	return "records-" + a.days("-to-") + ".zip"
}

func (a *DayArchive) days(to string) string {
	return a.From.Format(time.DateOnly) + to + a.End.Add(-time.Second).Format(time.DateOnly)
}

// Pack gives the archive. It fails where a group cannot be written as a case file.
func (a *DayArchive) Pack() ([]byte, error) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	put := func(name string, data []byte) error {
		part, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: a.Now})
		if err != nil {
			return err
		}
		_, err = part.Write(data)
		return err
	}
	for _, f := range a.Files {
		data, err := casefile.Export(casefile.Extract(f.Records), a.Zones)
		if err != nil {
			return nil, err
		}
		if err := put("cases/"+groupName(f)+".yaml", data); err != nil {
			return nil, err
		}
	}
	if err := put("records.txt", a.Lines); err != nil {
		return nil, err
	}
	if err := put("README.txt", []byte(a.about())); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// groupName is the first order of a group, or else its first vial.
func groupName(f *kit.File) string {
	vial := "site"
	for _, r := range f.Records {
		switch x := r.Fact.(type) {
		case *fact.Order:
			return x.ID
		case *fact.Receive:
			vial = x.Vial
		}
	}
	return vial
}

func (a *DayArchive) about() string {
	return strings.TrimLeft(a.Mark+"\n", "\n") + "Records of " + a.days(" to ") + ", " + a.Zone + ", by the day on which they were recorded.\n" +
		words.Plural(bytes.Count(a.Lines, []byte("\n")), "record") + ", " + words.Plural(len(a.Files), "case file") + ". Exported by " + a.By + " at " + a.Now.UTC().Format(time.RFC3339) + ", " + a.Version + ".\n" +
		"The journal was verified from its first record to number " + strconv.FormatUint(a.Head.Seq, 10) + ", hash " + a.Head.Hash.String() + ".\n\n" +
		"records.txt has one line for each record: its number, hash, digest, salt and text, with one space between. A line that ends\n" +
		"with the digest is withheld: it is private to a person, or its content was destroyed. The digest is\n" +
		"SHA-256( salt \" \" text ), and the hash SHA-256( hash of the one before \"\\n\" number \"\\n\" digest \"\\n\" ), so that lines with\n" +
		"numbers in a row verify each other.\n" +
		"cases/ has each order or vial of these records as a case file that stands alone, with entries of other days where it has some.\n" +
		"An order that is not drawn yet stands there without a vial; the export of that order alone has the vials that are open.\n"
}

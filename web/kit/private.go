package kit

import (
	"vialwright/fact"
	"vialwright/people"
)

// WithheldWord stands where something is private to another person.
const WithheldWord = "withheld"

// Withholds tells of what is private to another person, where the person of the request
// does not have to act on it. A correction is withheld with what it corrects.
func (q *Request) Withholds(f fact.Fact) bool {
	if c, ok := f.(*fact.Correct); ok && c.With == nil {
		e, _ := q.Lab.FileOf(c.Entry).Entry(c.Entry)
		f = e.First
	}
	return fact.Private(f) && q.WithholdsOf(fact.PersonOf(f))
}

// WithholdsOf tells that what is private to a person is withheld from who looks: neither the
// person nor one who has to act on it.
func (q *Request) WithholdsOf(who string) bool {
	return who != q.Who.ID && people.May(q.Who.Person, people.SeePrivate) != nil
}

package fold

import (
	"vialwright/fact"
	"vialwright/people"
)

// enterPerson refuses a person that cannot be one. Whether the entry was allowed follows
// from those before it ([people.Directory]); no figure rests on it.
func enterPerson(p *fact.Person, _ *folder, s *step) *fact.Refusal {
	if e, bad := p.Of().Check().(*people.Error); bad {
		return s.refuse(map[string]string{people.CodeName: "name", people.CodeRoles: "roles"}[e.Code], e.Code, e.Hint, "%s", e.Msg)
	}
	return nil
}

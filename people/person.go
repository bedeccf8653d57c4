package people

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	mostID   = 32 // bytes of an id, as in the journal
	mostName = 80 // characters of a name
)

// Person is an account. It is never removed, only switched off, so that the
// person behind an old entry is always known and an id is never given twice.
type Person struct {
	// ID is what records hold: 1 to 32 of A-Z a-z 0-9 . _ -, the first a
	// letter or digit. It does not change.
	ID string
	// Name is the name as it is printed beside a signature: 2 to 80
	// characters.
	Name string
	// Roles are the roles of the person, one or more, none twice.
	Roles []Role
	// Active is false where the account is switched off.
	Active bool
}

// Has tells whether r is one of the roles of p.
func (p Person) Has(r Role) bool { return slices.Contains(p.Roles, r) }

// Check refuses, in this order:
//
//	[CodeID]     the id is not formed like one
//	[CodeName]   the name is not text of 2 to 80 printable characters, begins
//	             or ends with a space, or has two in a row
//	[CodeRoles]  there is no role, an unknown one, or one twice
func (p Person) Check() error {
	switch {
	case !IsID(p.ID):
		return refuse(CodeID, "an id has 1 to 32 of A-Z a-z 0-9 . _ - and begins with a letter or digit", "use initials and a number, such as RP1")
	case !isName(p.Name):
		return refuse(CodeName, "a name has 2 to 80 printable characters, and single spaces between words", "write it as it is to be printed beside a signature")
	case !areRoles(p.Roles):
		return refuse(CodeRoles, "a person has one role or more, each once", "an observer is a role too")
	}
	return nil
}

// IsID tells an id as records have them: 1 to 32 of A-Z a-z 0-9 . _ -, the first a letter
// or digit.
func IsID(s string) bool {
	for i := range len(s) {
		c := s[i]
		switch {
		case '0' <= c && c <= '9' || 'A' <= c && c <= 'Z' || 'a' <= c && c <= 'z':
		case i > 0 && (c == '.' || c == '_' || c == '-'):
		default:
			return false
		}
	}
	return s != "" && len(s) <= mostID
}

func isName(s string) bool {
	n := utf8.RuneCountInString(s)
	return utf8.ValidString(s) && 2 <= n && n <= mostName &&
		s == strings.TrimSpace(s) && !strings.Contains(s, "  ") &&
		!strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsPrint(r) })
}

func areRoles(roles []Role) bool {
	for i, r := range roles {
		if r.Title() == "" || slices.Contains(roles[:i], r) {
			return false
		}
	}
	return len(roles) > 0
}

// May refuses, in this order:
//
//	[CodeUnknownAct]    there is no such act
//	[CodeInactive]      the account is switched off
//	[CodeNotPermitted]  none of the person's roles is granted the act
func May(p Person, a Act) error {
	g, e := find(a)
	switch {
	case e.act == "":
		return refuse(CodeUnknownAct, "there is no act of that name", "")
	case !p.Active:
		return refuse(CodeInactive, "the account of "+p.Name+" is switched off", "an administrator can switch it on")
	case !slices.ContainsFunc(g.roles, p.Has):
		return refuse(CodeNotPermitted, p.Name+" may not "+e.text, "this takes "+anyOf(g.roles))
	}
	return nil
}

package people

import (
	"slices"
	"strings"
)

// OnMachine stands in the journal for who has the machine in hand and no account,
// such as who lets a locked-out site in. It is no id of a person.
const OnMachine = "on this machine"

// MayAdd says whether the person with the id by may add the account p to the
// roster, which is all accounts there are; second is who signs beside them, empty
// for nobody. It refuses, in this order:
//
//	what [Person.Check] refuses of p
//	on an empty roster, by whomever:
//	  [CodeFirst]        p is not an active administrator, or has another role too
//	otherwise:
//	  [CodeUnknownPerson]  by has no account
//	  what [May] refuses of add-person
//	  [CodeIDTaken]      an account has that id, small and capital letters alike
//	  [CodeNameTaken]    an account has that name, small and capital letters alike
//	  what [MayCombine] refuses
func MayAdd(by, second string, roster []Person, p Person) error {
	if err := p.Check(); err != nil {
		return err
	}
	if len(roster) == 0 {
		return mayBegin(p)
	}
	if err := mayIn(by, roster, AddPerson); err != nil {
		return err
	}
	for _, q := range roster {
		if strings.EqualFold(q.ID, p.ID) {
			return refuse(CodeIDTaken, "the id "+q.ID+" is that of "+q.Name, "take another id; the id of an account that was switched off is not used again")
		}
	}
	if err := nameTaken(roster, p); err != nil {
		return err
	}
	return MayCombine(by, second, roster, p)
}

// mayBegin refuses a first account that nobody else could answer for.
func mayBegin(p Person) error {
	if !p.Active || len(p.Roles) != 1 || !p.Has(Administrator) {
		return refuse(CodeFirst, "the first account has to be that of an active administrator, with no other role", "that administrator then adds the others")
	}
	return nil
}

// Combines tells of roles that they let one person give rights and also prepare,
// check or release doses: who has them could add the second person that a rule
// about two people asks for.
func Combines(roles []Role) bool {
	works := func(r Role) bool { return Allowed(r, Draw) || Allowed(r, SecondCheck) || Allowed(r, Release) }
	return slices.Contains(roles, Administrator) && slices.ContainsFunc(roles, works)
}

// MayCombine says whether the account p may come to have its roles by the
// signatures of by and second. An account that combines them is asked about each
// time it is entered, unless it had the same roles before. It refuses, in this
// order:
//
//	[CodeCombined]       p combines giving rights with work on doses, and second is empty
//	[CodeOwnRights]      second is by, or p
//	[CodeUnknownPerson]  second has no account
//	what [May] refuses second of agree-rights
func MayCombine(by, second string, roster []Person, p Person) error {
	same := func(q Person) bool {
		return q.ID == p.ID && Combines(q.Roles) && sameRoles(q, p)
	}
	if !p.Active || !Combines(p.Roles) || slices.ContainsFunc(roster, same) {
		return nil
	}
	switch second {
	case "":
		return refuse(CodeCombined, "one account would give rights and also prepare, check or release doses", "a second person signs that too, with their id and PIN; or give the roles to two people")
	case by, p.ID:
		return refuse(CodeOwnRights, "the second signature has to be of another person", "the second person must not be the one who records this, nor the one who gets the rights")
	}
	return mayIn(second, roster, AgreeRights)
}

// sameRoles tells that two accounts have the same roles, in whatever order; none has
// a role twice.
func sameRoles(a, b Person) bool {
	return len(a.Roles) == len(b.Roles) && !slices.ContainsFunc(a.Roles, func(r Role) bool { return !b.Has(r) })
}

// MayAdmit says whether who has the machine in hand may enter the account p, so
// that a site that is locked out is let in: a new administrator without another
// role, or an administrator who was switched off. It refuses, in this order:
//
//	what [Person.Check] refuses of p
//	[CodeFirst]      a new account is not of an active administrator alone
//	[CodeNameTaken]  another account has that name
//	[CodeAdmit]      p was no administrator, or is changed beyond being switched on
func MayAdmit(roster []Person, p Person) error {
	if err := p.Check(); err != nil {
		return err
	}
	if err := nameTaken(roster, p); err != nil {
		return err
	}
	i := slices.IndexFunc(roster, func(q Person) bool { return strings.EqualFold(q.ID, p.ID) })
	if i < 0 {
		return mayBegin(p)
	}
	q := roster[i]
	if !p.Active || !q.Has(Administrator) || q.ID != p.ID || q.Name != p.Name || !sameRoles(q, p) {
		return refuse(CodeAdmit, "on this machine only an administrator can be let in; nobody else's rights can be changed here", "name an administrator, or a new id for one; that administrator changes the rest")
	}
	return nil
}

// MayChange says whether the person with the id by may put p in place of the
// account with the same id; second is who signs beside them, empty for nobody. It
// refuses, in this order:
//
//	what [Person.Check] refuses of p
//	[CodeUnknownPerson]  by has no account
//	what [May] refuses of change-person
//	[CodeUnknownPerson]  there is no account with the id of p
//	[CodeOwnRights]      by is p
//	[CodeNameTaken]      another account has that name
//	what [MayCombine] refuses
//
// As nobody changes their own account, anyone who makes the last change is still
// an active administrator: the bench never ends up without one.
func MayChange(by, second string, roster []Person, p Person) error {
	if err := p.Check(); err != nil {
		return err
	}
	if err := mayOther(by, roster, ChangePerson, p.ID); err != nil {
		return err
	}
	if err := nameTaken(roster, p); err != nil {
		return err
	}
	return MayCombine(by, second, roster, p)
}

// MayReset says whether the person with the id by may give the person with the
// id whose a first password. That password serves for one sign-in, in which
// its owner chooses another; a PIN is never given by others. It refuses, in
// this order:
//
//	[CodeUnknownPerson]  by has no account
//	what [May] refuses of reset-secret
//	[CodeUnknownPerson]  there is no account whose
//	[CodeOwnRights]      by is whose
func MayReset(by string, roster []Person, whose string) error {
	return mayOther(by, roster, ResetSecret, whose)
}

// nameTaken refuses a name that another account has.
func nameTaken(roster []Person, p Person) error {
	for _, q := range roster {
		if q.ID != p.ID && strings.EqualFold(q.Name, p.Name) {
			return refuse(CodeNameTaken, "the account "+q.ID+" has the name "+q.Name, "add an initial, so that signatures can be told apart")
		}
	}
	return nil
}

// mayOther refuses an act on the account of another.
func mayOther(by string, roster []Person, a Act, whose string) error {
	if err := mayIn(by, roster, a); err != nil {
		return err
	}
	if !slices.ContainsFunc(roster, func(q Person) bool { return q.ID == whose }) {
		return refuse(CodeUnknownPerson, "there is no account "+whose, "add it")
	}
	if by == whose {
		return refuse(CodeOwnRights, "nobody changes their own account", "another administrator can; you change your own password and PIN on a page of your own")
	}
	return nil
}

// mayIn looks the person up, so that what counts is the account as it is.
func mayIn(by string, roster []Person, a Act) error {
	i := slices.IndexFunc(roster, func(q Person) bool { return q.ID == by })
	if i < 0 {
		return refuse(CodeUnknownPerson, "there is no account "+by, "sign in")
	}
	return May(roster[i], a)
}

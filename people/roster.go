package people

import (
	"slices"
	"strings"
)

// MayAdd says whether the person with the id by may add the account p to the
// roster, which is all accounts there are. It refuses, in this order:
//
//	what [Person.Check] refuses of p
//	on an empty roster, by whomever:
//	  [CodeFirst]        p is not an active administrator
//	otherwise:
//	  [CodeUnknownPerson]  by has no account
//	  what [May] refuses of add-person
//	  [CodeIDTaken]      an account has that id, small and capital letters alike
//	  [CodeNameTaken]    an account has that name, small and capital letters alike
func MayAdd(by string, roster []Person, p Person) error {
	if err := p.Check(); err != nil {
		return err
	}
	if len(roster) == 0 {
		if !p.Active || !p.Has(Administrator) {
			return refuse(CodeFirst, "the first account has to be that of an active administrator", "who then adds the others")
		}
		return nil
	}
	if err := mayIn(by, roster, AddPerson); err != nil {
		return err
	}
	for _, q := range roster {
		if strings.EqualFold(q.ID, p.ID) {
			return refuse(CodeIDTaken, "the id "+q.ID+" is that of "+q.Name, "take another id; those of accounts switched off are not given again")
		}
	}
	return nameTaken(roster, p)
}

// MayChange says whether the person with the id by may put p in place of the
// account with the same id. It refuses, in this order:
//
//	what [Person.Check] refuses of p
//	[CodeUnknownPerson]  by has no account
//	what [May] refuses of change-person
//	[CodeUnknownPerson]  there is no account with the id of p
//	[CodeOwnRights]      by is p
//	[CodeNameTaken]      another account has that name
//
// As nobody changes their own account, whoever makes the last change is still
// an active administrator: the bench never ends up without one.
func MayChange(by string, roster []Person, p Person) error {
	if err := p.Check(); err != nil {
		return err
	}
	if err := mayOther(by, roster, ChangePerson, p.ID); err != nil {
		return err
	}
	return nameTaken(roster, p)
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
		return refuse(CodeOwnRights, "nobody changes their own account", "another administrator can; for your own password and PIN there is a screen of your own")
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

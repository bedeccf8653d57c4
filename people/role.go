package people

import "strings"

// Role is what a person is at the bench. The word is the one kept in records.
type Role string

// The roles.
const (
	// Administrator looks after accounts and backups, and prepares nothing.
	Administrator Role = "administrator"
	// Radiopharmacist answers for the preparation and releases it.
	Radiopharmacist Role = "radiopharmacist"
	// Technologist is the nuclear-medicine technologist who prepares.
	Technologist Role = "technologist"
	// Physicist is the medical physicist, who answers for the meters and, in
	// most sites, for radiation protection.
	Physicist Role = "physicist"
	// Physician is the authorised physician (United States: authorised user;
	// European Union: practitioner), who prescribes and gives.
	Physician Role = "authorised-physician"
	// Nurse is the nurse or technician of the interventional suite.
	Nurse Role = "suite-nurse"
	// Observer is an inspector, a trainee or a visitor, who looks.
	Observer Role = "observer"
)

// titles are the roles in their order, with the words a person reads.
var titles = []struct {
	role          Role
	article, name string
}{
	{Administrator, "an", "administrator"},
	{Radiopharmacist, "a", "radiopharmacist"},
	{Technologist, "a", "technologist"},
	{Physicist, "a", "medical physicist"},
	{Physician, "an", "authorised physician"},
	{Nurse, "a", "suite nurse"},
	{Observer, "an", "observer"},
}

// Roles gives all roles, in the order in which they are always listed.
func Roles() []Role {
	out := make([]Role, len(titles))
	for i, t := range titles {
		out[i] = t.role
	}
	return out
}

// Title is the role in the words of a screen, such as "medical physicist"; for
// what is no role it is empty.
func (r Role) Title() string {
	for _, t := range titles {
		if t.role == r {
			return t.name
		}
	}
	return ""
}

func anyOf(roles []Role) string {
	var b strings.Builder
	for i, r := range roles {
		switch {
		case i == 0:
		case i == len(roles)-1:
			b.WriteString(" or ")
		default:
			b.WriteString(", ")
		}
		for _, t := range titles {
			if t.role == r {
				b.WriteString(t.article + " " + t.name)
			}
		}
	}
	return b.String()
}

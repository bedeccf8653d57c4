package identity

import "vialwright/quantity"

// Codes of an [Error]. They are stable: a record or a test may rely on them.
const (
	CodeEmpty     = "empty"     // nothing was written or scanned
	CodeCharacter = "character" // a character that no serial holds
	CodeLength    = "length"    // not 12 characters
	CodeCheck     = "check"     // the check character does not agree

	CodeTooLong   = "too-long"   // more than a bar code holds
	CodeUnknown   = "unknown"    // neither a serial of ours nor GS1
	CodeUnknownID = "unknown-id" // an application identifier not in our table
	CodeShort     = "short"      // an element string ends too early
	CodeLong      = "long"       // an element string is too long: was a separator lost?
	CodeData      = "data"       // a character that GS1 does not allow there
	CodeGTIN      = "gtin-check" // the check digit of a GTIN or SSCC does not agree
	CodeDate      = "date"       // no day of the calendar
	CodeTwice     = "twice"      // the same identifier twice, with two values
)

// Error says why a text was refused, as a quantity that was refused does.
type Error = quantity.Error

func refuse(code, input, msg, hint string) *Error { return quantity.Refuse(code, input, msg, hint) }

package people

import (
	"slices"
	"strings"
)

const (
	leastPIN = 4 // digits
	mostPIN  = 8
)

// commonPINs are chosen by many although they are neither repetition nor
// sequence: paths over the keys, words on a telephone, and the like. (Values
// from memory, not seen.)
var commonPINs = []string{
	"0852", "2580", "3690", "0963", "1004", "5683", "1379", "9731", "1397", "2486",
	"147258", "258369", "147369", "159357", "159753", "357159", "753951", "951753", "789456", "456123", "147852", "258456", "654123", "102030",
	"14725836", "15935728", "11223344", "12344321", "10203040",
}

// CheckPIN refuses a PIN that must not be chosen. The texts of about are what
// stands beside the name for all to see, such as the id and a badge number.
// It refuses, in this order:
//
//	[CodePINDigits]    it holds something that is not one of 0 to 9
//	[CodePINLength]    it has fewer than 4 digits or more than 8
//	[CodePINRepeats]   it is a shorter text twice or more, perhaps cut short
//	[CodePINSequence]  each digit follows from the one before by the same step,
//	                   9 being followed by 0
//	[CodePINFew]       it has fewer than three different digits
//	[CodePINYear]      it has four digits and is 1900 to 2099
//	[CodePINCommon]    it is on a short list
//	[CodePINOwn]       its digits stand in about, in one piece
//
// A birthday is not recognised. Of the 10 000 PINs of four digits 9080 are
// accepted, of the million of six digits 996 386.
func CheckPIN(pin string, about ...string) error {
	switch {
	case strings.ContainsFunc(pin, func(r rune) bool { return r < '0' || r > '9' }):
		return refuse(CodePINDigits, "a PIN has digits only", "use 0 to 9, without a space")
	case len(pin) < leastPIN || len(pin) > mostPIN:
		return refuse(CodePINLength, "a PIN has 4 to 8 digits", "")
	case period([]rune(pin)) < len(pin):
		return refuse(CodePINRepeats, "the PIN repeats itself", "choose digits at random")
	case isSequence(pin):
		return refuse(CodePINSequence, "the PIN counts up or down", "choose digits at random")
	case different(pin) < 3:
		return refuse(CodePINFew, "the PIN has only two different digits", "choose digits at random")
	case len(pin) == 4 && (pin[:2] == "19" || pin[:2] == "20"):
		return refuse(CodePINYear, "the PIN is a year", "choose digits at random")
	case slices.Contains(commonPINs, pin):
		return refuse(CodePINCommon, "many people choose that PIN", "choose digits at random")
	}
	for _, text := range about {
		if strings.Contains(text, pin) {
			return refuse(CodePINOwn, "the PIN is shown beside your name", "choose digits at random")
		}
	}
	return nil
}

// isSequence tells whether all steps are the same, modulo 10.
func isSequence(pin string) bool {
	step := func(i int) int { return (int(pin[i]) - int(pin[i-1]) + 10) % 10 }
	for i := 2; i < len(pin); i++ {
		if step(i) != step(1) {
			return false
		}
	}
	return true
}

func different(pin string) int {
	n := 0
	for d := '0'; d <= '9'; d++ {
		if strings.ContainsRune(pin, d) {
			n++
		}
	}
	return n
}

package people_test

import (
	"fmt"
	"time"

	"vialwright/people"
)

func ExampleAllowed() {
	fmt.Println(people.Allowed(people.Technologist, people.Draw))
	fmt.Println(people.Allowed(people.Technologist, people.OverrideStop))
	fmt.Println(people.OverrideStop.Why())
	fmt.Println(people.OverrideStop.Meaning())
	// Output:
	// true
	// false
	// a stop is overridden by a person who answers for the preparation, the measurement or the patient, not by the person it holds up
	// I override this stop, for the reason given
}

func ExampleMay() {
	tess := people.Person{ID: "T1", Name: "Tess Example", Roles: []people.Role{people.Technologist}, Active: true}
	fmt.Println(people.May(tess, people.Draw))
	fmt.Println(people.May(tess, people.SignOrder))
	// Output:
	// <nil>
	// Tess Example may not sign an order (this takes an authorised physician)
}

// One morning of an invented site: what may be done, and what not yet.
func ExampleMayRelease() {
	ruth := people.Person{ID: "R1", Name: "Ruth Example", Roles: []people.Role{people.Radiopharmacist}, Active: true}
	theo := people.Person{ID: "T2", Name: "Theo Example", Roles: []people.Role{people.Technologist}, Active: true}
	var deeds []people.Deed
	record := func(a people.Act, by string) {
		deeds = append(deeds, people.Deed{Act: a, By: by})
	}

	record(people.ReadMeter, "T1")
	record(people.Draw, "T1")
	record(people.ReadMeter, "T1")
	fmt.Println(people.MayRelease(ruth, deeds))

	record(people.SecondCheck, "R1")
	fmt.Println(people.MayRelease(ruth, deeds))

	record(people.ReadMeter, "R1")
	fmt.Println(people.MayRelease(ruth, deeds))
	fmt.Println(people.MayCheck(ruth, deeds))

	fmt.Println(people.MayCheck(theo, deeds))
	record(people.SecondCheck, "T2")
	fmt.Println(people.MayRelease(ruth, deeds))
	// Output:
	// nobody has checked this dose (someone who neither read nor drew for it does the second check)
	// <nil>
	// something was recorded after the second check (have it checked again, as it is now)
	// Ruth Example would check their own work (someone who neither read nor drew for this dose checks it)
	// <nil>
	// <nil>
}

func ExampleCheckPassword() {
	about := []string{"Tess Example", "T1", "Lampfield Example"}
	for _, p := range []string{"Summer2027!", "Hotlab Lampfield 2027", "nine green lamps sing"} {
		fmt.Println(people.CheckPassword(p, about...))
	}
	// Output:
	// the password is too short: 15 characters at least (use four or five unrelated words: they are easy to remember)
	// the password is easy to guess: it is made of common words, names, runs or rows of keys (add a word or two that have nothing to do with you or this place)
	// <nil>
}

func ExampleCheckPIN() {
	for _, pin := range []string{"1234", "2580", "8274", "5193"} {
		fmt.Println(people.CheckPIN(pin, "badge 908274"))
	}
	// Output:
	// the PIN counts up or down (choose digits at random)
	// many people choose that PIN (choose digits at random)
	// the PIN is shown beside your name (choose digits at random)
	// <nil>
}

// A try counts as a failure until it is known to be right.
func ExampleLockout() {
	lock := people.PINLockout()
	var tries people.Tries
	now := time.Date(2027, 3, 4, 7, 0, 0, 0, time.UTC)
	for range 5 {
		now = now.Add(lock.Wait(tries, now))
		tries = tries.Failed(now)
		fmt.Println(now.Format("15:04:05"), lock.Check(tries, now))
	}
	// Output:
	// 07:00:00 <nil>
	// 07:00:00 it was wrong several times (try again in 5 s)
	// 07:00:05 it was wrong several times (try again in 10 s)
	// 07:00:15 it was wrong several times (try again in 10 s)
	// 07:00:25 it was wrong too often (sign in with your password; what you typed is kept)
}

// The bytes come from a cryptographic source; these are fixed, so that the
// example prints the same every time.
func ExampleSession() {
	token := people.NewToken([32]byte{31: 1})
	limits := people.DefaultLimits()
	seven := time.Date(2027, 3, 4, 7, 0, 0, 0, time.UTC)
	s := people.Open(token, "T1", false, seven)
	at := func(minutes int) time.Time { return seven.Add(time.Duration(minutes) * time.Minute) }

	fmt.Println("used at 10 min:", s.State(at(10), limits))
	s = s.Seen(at(10), limits)
	fmt.Println("then nobody, to 25 min:", s.State(at(25), limits))
	s = s.Seen(at(25), limits)
	fmt.Println("a use does not help:", s.State(at(25), limits))
	s = s.Confirmed(at(26), limits)
	fmt.Println("the PIN does:", s.State(at(26), limits))
	fmt.Println("twelve hours after the password:", s.State(at(12*60), limits))
	fmt.Println(token)
	// Output:
	// used at 10 min: fresh
	// then nobody, to 25 min: needs-pin
	// a use does not help: needs-pin
	// the PIN does: fresh
	// twelve hours after the password: ended
	// token
}

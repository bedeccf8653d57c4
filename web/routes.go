package web

import (
	"vialwright/people"
)

// routeTable is the table of addresses. An entry's own act, which depends on what
// is entered, is asked again when it is recorded.
func (s *Server) routeTable() []Route { return append(doorRoutes(), workRoutes()...) }

// doorRoutes are the addresses for everybody.
func doorRoutes() []Route {
	return []Route{
		{"GET", "/first", "", true, true, firstPage},
		{"POST", "/first", "", true, true, firstDo},
		{"GET", "/sign-in", "", true, true, signInPage},
		{"POST", "/sign-in", "", true, true, signInDo},
		{"POST", "/theme", "", true, true, themeDo},
		{"GET", "/health", "", true, true, healthPage},
		{"GET", "/metrics", "", true, true, metricsPage},
	}
}

// workRoutes are the addresses for who is signed in.
func workRoutes() []Route {
	return []Route{
		{"GET", "/pin", people.SignIn, false, true, pinPage},
		{"POST", "/pin", people.SignIn, false, true, pinDo},
		{"POST", "/sign-out", people.SignIn, false, true, signOutDo},
		{"GET", "/me", people.ChangeSecret, false, false, mePage},
		{"POST", "/me/password", people.ChangeSecret, false, false, passwordDo},
		{"POST", "/me/pin", people.ChangeSecret, false, false, pinSetDo},
		{"POST", "/draft", people.SeeBoard, false, false, draftDo},
		{"GET", "/events", people.SeeBoard, false, false, events},

		{"GET", "/{$}", people.SeeBoard, false, false, boardPage},
		{"POST", "/scan", people.SeeBoard, false, false, scanDo},
		{"GET", "/start", people.SeeBoard, false, false, startPage},
		{"POST", "/start/enter/{form}", people.SeeBoard, false, false, startEnter},
		{"GET", "/start/label.pdf", people.CheckReadiness, false, false, testLabelPDF},
		{"GET", "/day", people.SeeBoard, false, false, dayPage},
		{"GET", "/day/enter/{form}", people.Note, false, false, dayFormPage},
		{"POST", "/day/enter/{form}", people.SeeBoard, false, false, dayEnter},
		{"GET", "/order/{order}", people.SeeBoard, false, false, benchPage},
		{"GET", "/order/{order}/step/{key}", people.SeeBoard, false, false, benchPage},
		{"POST", "/order/{order}/step/{key}", people.SeeBoard, false, false, stepDo},
		{"POST", "/order/{order}/shaken", people.ReadMeter, false, false, shakenDo},
		{"POST", "/order/{order}/take/{form}", people.SeeBoard, false, false, takeDo},
		{"GET", "/order/{order}/check", people.SecondCheck, false, false, checkPage},
		{"POST", "/order/{order}/check", people.SecondCheck, false, false, checkDo},
		{"GET", "/order/{order}/time-out", people.TimeOut, false, false, timeOutPage},
		{"POST", "/order/{order}/time-out", people.TimeOut, false, false, timeOutDo},
		{"GET", "/curve", people.ReadMeter, false, false, curvePage},
		{"POST", "/curve", people.ReadMeter, false, false, curveDo},
		{"GET", "/history", people.SeeHistory, false, false, historyPage},
		{"GET", "/paper", people.Note, false, false, sheetPage},
		{"POST", "/paper", people.Note, false, false, sheetDo},
		{"GET", "/order/{order}/export", people.Export, false, false, exportPage},
		{"GET", "/export/{order}/{file}", people.Export, false, false, exportDo},
		{"GET", "/export", people.Export, false, false, daysPage},
		{"POST", "/export/days", people.Export, false, false, daysDo},
		{"GET", "/waste", people.Discard, false, false, wastePage},
		{"GET", "/doses", people.StaffDose, false, false, dosesPage},
		{"GET", "/settings", people.SetPolicy, false, false, settingsPage},
		{"POST", "/settings", people.SetPolicy, false, false, settingsDo},
		{"GET", "/meters", people.SetMeter, false, false, metersPage},
		{"POST", "/meters", people.SetMeter, false, false, metersDo},
		{"GET", "/entry/{entry}/correct", people.Correct, false, false, correctPage},
		{"POST", "/entry/{entry}/correct", people.Correct, false, false, correctDo},
		{"GET", "/labels/{file}", people.PrintLabel, false, false, labelPDF},
		{"GET", "/sheet/{file}", people.PrintSheet, false, false, sheetPDF},
		{"GET", "/blank.pdf", people.PrintSheet, false, false, blankPDF},

		{"GET", "/experience", people.SeeBoard, false, false, experiencePage},
		{"GET", "/charts", people.SeeBoard, false, false, chartsPage},

		{"GET", "/practice", people.SeeBoard, false, false, inPractice(practicePage)},
		{"POST", "/practice/clock", people.Note, false, false, inPractice(clockDo)},
		{"POST", "/practice/drill", people.Note, false, false, inPractice(drillDo)},
		{"GET", "/practice/drill/{run}", people.SeeBoard, false, false, inPractice(runPage)},
		{"POST", "/practice/drill/{run}", people.Note, false, false, inPractice(answerDo)},
		{"GET", "/practice/record.csv", people.SeeBoard, false, false, inPractice(competenceCSV)},

		{"GET", "/people", people.AddPerson, false, false, peoplePage},
		{"POST", "/people", people.AddPerson, false, false, personAdd},
		{"GET", "/people/{id}", people.ChangePerson, false, false, personPage},
		{"POST", "/people/{id}", people.ChangePerson, false, false, personChange},
		{"POST", "/people/{id}/reset", people.ResetSecret, false, false, personReset},
	}
}

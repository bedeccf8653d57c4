package fold

import "vialwright/fact"

// enter checks a fact against the case so far and puts it in, in its turn in time.
// Whether work was in place is for package procedure.
func (f *folder) enter(s *step) *fact.Refusal {
	switch x := s.fact.(type) {
	case *fact.Receive:
		return enterReceive(x, f, s)
	case *fact.Read:
		return enterRead(x, f, s)
	case *fact.Draw:
		return enterDraw(x, f, s)
	case *fact.Return:
		return enterReturn(x, f, s)
	case *fact.MakeUp:
		return enterMakeUp(x, f, s)
	case *fact.Transfer:
		return enterTransfer(x, f, s)
	case *fact.Discard:
		return enterDiscard(x, f, s)
	case *fact.Reassign:
		return enterReassign(x, f, s)
	case *fact.Infuse:
		return enterInfuse(x, f, s)
	case *fact.Residual:
		return enterResidual(x, f, s)
	}
	return f.said(s)
}

// said checks a fact that moves no activity. Whether what was signed, overridden
// or seen still holds is for package procedure: a correction of it is no fault of
// the entry. A kind that is not here is refused by nothing.
func (f *folder) said(s *step) *fact.Refusal {
	switch x := s.fact.(type) {
	case *fact.Agitate:
		return enterAgitate(x, f, s)
	case *fact.Cancel:
		return enterCancel(x, f, s)
	case *fact.Check:
		return enterCheck(x, f, s)
	case *fact.Clock:
		return enterClock(x, f, s)
	case *fact.Close:
		return enterClose(x, f, s)
	case *fact.Exposure:
		return enterExposure(x, f, s)
	case *fact.HandOver:
		return enterHandOver(x, f, s)
	case *fact.Label:
		return enterLabel(x, f, s)
	case *fact.KeepStock:
		return f.here(s, x.Of)
	case *fact.LeftSite:
		return enterLeftSite(x, f, s)
	case *fact.Paper, *fact.Supervised:
		return enterMark(x, s)
	case *fact.Person:
		return enterPerson(x, f, s)
	case *fact.Release:
		return enterRelease(x, f, s)
	case *fact.SecondCheck:
		return enterSecondCheck(x, f, s)
	case *fact.SettlingTest:
		return enterSettlingTest(x, f, s)
	case *fact.Survey:
		return enterSurvey(x, f, s)
	case *fact.TakeOver:
		return enterTakeOver(x, f, s)
	case *fact.TimeOut:
		return enterTimeOut(x, f, s)
	case *fact.SignOrder, *fact.Override, *fact.SeeFigures:
		return f.openOrder(s, fact.OrderOf(s.fact))
	case *fact.Deviation, *fact.NearMiss: // what went wrong may be found after the record was closed
		return f.knowsAny(s, fact.OrderOf(s.fact))
	case *fact.Milestone, *fact.CompleteOrder, *fact.EventReport, *fact.ReleasePatient, *fact.Imaging:
		return f.afterGiven(s, fact.OrderOf(s.fact))
	case *fact.Drill, *fact.DrillAnswer:
		return f.inPractice(s)
	}
	return nil
}

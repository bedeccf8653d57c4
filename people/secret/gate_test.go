package secret

import (
	"context"
	"testing"
	"testing/synctest"
)

// With two places two are inside, and the third comes in when one has left.
func TestGate(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		gate := NewGate(2)
		inside, most, left := 0, 0, 0
		leave := make(chan struct{})
		for range 5 {
			go func() {
				err := gate.pass(t.Context(), func() {
					inside++
					most = max(most, inside)
					<-leave
					inside--
				})
				if err != nil {
					t.Error(err)
				}
				left++
			}()
			synctest.Wait()
		}
		for i := range 5 {
			if want := min(2, 5-i); inside != want || left != i {
				t.Fatalf("%d inside and %d left, want %d and %d", inside, left, want, i)
			}
			leave <- struct{}{}
			synctest.Wait()
		}
		if most != 2 || inside != 0 || left != 5 {
			t.Errorf("at most %d at a time, %d inside, %d left", most, inside, left)
		}
	})
}

// Who gives up does not come in, and takes no place.
func TestGateGivesUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		gate := NewGate(1)
		leave := make(chan struct{})
		go gate.pass(t.Context(), func() { <-leave })
		synctest.Wait()
		ctx, cancel := context.WithCancel(t.Context())
		var err error
		go func() { err = gate.pass(ctx, func() { t.Error("it came in") }) }()
		synctest.Wait()
		if err != nil {
			t.Fatalf("it did not wait: %v", err)
		}
		cancel()
		synctest.Wait()
		if codeOf(t, err) != CodeBusy {
			t.Errorf("%v", err)
		}
		close(leave)
		synctest.Wait()
		came := false
		if err := gate.pass(t.Context(), func() { came = true }); err != nil || !came {
			t.Errorf("the place was not given back: %v", err)
		}
		// A context that has ended does not come in, even where there is a place.
		if err := gate.pass(ctx, func() { t.Error("it came in") }); codeOf(t, err) != CodeBusy {
			t.Errorf("%v", err)
		}
	})
}

// A place is given back when what runs inside panics.
func TestGateAfterPanic(t *testing.T) {
	gate := NewGate(1)
	func() {
		defer func() { _ = recover() }()
		_ = gate.pass(t.Context(), func() { panic("inside") })
	}()
	came := false
	if err := gate.pass(t.Context(), func() { came = true }); err != nil || !came {
		t.Errorf("the place was not given back: %v", err)
	}
}

func TestNewGatePanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a gate without a place was made")
		}
	}()
	NewGate(0)
}

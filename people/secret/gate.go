package secret

import "context"

// Gate lets a number of hashes run at a time. It is shared by the keepers of
// one program.
type Gate struct{ places chan struct{} }

// NewGate makes a gate of n places. It panics where n < 1.
func NewGate(n int) *Gate {
	if n < 1 {
		panic("secret: a gate needs a place")
	}
	return &Gate{make(chan struct{}, n)}
}

// pass runs f once there is a place, or gives up with the context.
func (g *Gate) pass(ctx context.Context, f func()) error {
	err := ctx.Err()
	if err == nil {
		select {
		case g.places <- struct{}{}:
			defer func() { <-g.places }()
			f()
			return nil
		case <-ctx.Done():
			err = ctx.Err()
		}
	}
	return &Error{CodeBusy, "too many people sign in at this moment", "try again", err}
}

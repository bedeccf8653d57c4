package secret

import "github.com/alexedwards/argon2id"

// Params say what a hash costs (RFC 9106, 3.1).
type Params struct {
	KiB    uint32 // memory m, in KiB; 8 for each lane at least
	Passes uint32 // passes t over the memory
	Lanes  uint8  // lanes p, worked on at the same time
}

// RFC9106 is the second recommended option of RFC 9106, section 4: 64 MiB, 3
// passes, 4 lanes.
func RFC9106() Params { return Params{64 * 1024, 3, 4} }

// OWASP is the least that the OWASP Password Storage Cheat Sheet takes for
// Argon2id: 19 MiB, 2 passes, 1 lane.
func OWASP() Params { return Params{19 * 1024, 2, 1} }

const (
	mostKiB    = 256 * 1024
	mostPasses = 16
	mostLanes  = 16

	saltBytes = 16 // 128 bits, RFC 9106, section 4
	hashBytes = 32 // 256 bits

	// Other programs write salts of 8 bytes (RFC 9106, 3.1, allows them) and
	// other lengths; these are the bounds for what is read.
	leastSalt, mostSalt = 8, 64
	leastHash, mostHash = 16, 64
)

// usable tells whether RFC 9106, 3.1, and our bounds allow the parameters.
func (p Params) usable() bool {
	return 1 <= p.Passes && p.Passes <= mostPasses &&
		1 <= p.Lanes && p.Lanes <= mostLanes &&
		8*uint32(p.Lanes) <= p.KiB && p.KiB <= mostKiB
}

func (p Params) library() *argon2id.Params {
	return &argon2id.Params{Memory: p.KiB, Iterations: p.Passes, Parallelism: p.Lanes, SaltLength: saltBytes, KeyLength: hashBytes}
}

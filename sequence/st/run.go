package st

import "math"

// run is the memory of one instance while it runs: flat slots of 64 bits. An integer, a bit
// string, a TIME in ns, an enumeration and a BOOL (0 or 1) are stored as int64, REAL and LREAL as
// the bits of a float64, a STRING as its length and its characters, eight a slot.
type run struct {
	mem  []uint64
	f    []uint64 // the memory from base on
	base int      // of the block that runs
	top  int      // of the stack of FUNCTIONs, which begins behind the instance
	left int64    // steps of this scan
	now  int64    // time of the program, ns
	text []byte   // strings on their way, each at a place of its own
}

// fault is the panic with which a scan ends; Scan makes an error of it.
type fault struct {
	at      int32
	message string
}

func (r *run) fail(at int32, message string) { panic(&fault{at, message}) }

// step counts steps against the budget.
func (r *run) step(n int64, at int32) {
	r.left -= n
	if r.left < 0 {
		r.overrun(at)
	}
}

//go:noinline
func (r *run) overrun(at int32) { r.fail(at, "the scan takes more steps than its budget allows") }

// code is a compiled expression. One of the functions is set, by the kind of its type.
type code struct {
	i     func(*run) int64
	f     func(*run) float64
	b     func(*run) bool
	s     func(*run) []byte
	known *constant    // if it is the same in every run
	all   *conjunction // of pure BOOL code
	pure  bool         // it cannot fail and changes nothing, so that it may be left out
	slot  int          // in the frame, of a plain variable; -1 for all others
	// Of a STRING that is a variable: its address and its length.
	textAt  func(*run) int
	textMax int
}

func integerCode(f func(*run) int64) code { return code{i: f, slot: -1} }
func realCode(f func(*run) float64) code  { return code{f: f, slot: -1} }
func boolCode(f func(*run) bool) code     { return code{b: f, slot: -1} }
func textCode(f func(*run) []byte) code   { return code{s: f, slot: -1} }

// purely marks code as pure if all it is made of is.
func (c code) purely(parts ...code) code {
	c.pure = true
	for _, p := range parts {
		c.pure = c.pure && p.pure
	}
	return c
}

// knownCode is the code of a value of a kind.
func knownCode(v constant, k Kind) code {
	c := code{known: &v, pure: true, slot: -1}
	switch {
	case k == Bool:
		is := v.integer != 0
		c.b = func(*run) bool { return is }
	case k.real():
		f := v.real
		c.f = func(*run) float64 { return f }
	case k == String:
		text := []byte(v.text)
		c.s = func(*run) []byte { return text }
	default:
		i := v.integer
		c.i = func(*run) int64 { return i }
	}
	return c
}

// fold computes code whose parts are known when the program is compiled. Code that fails is left for
// the run, and so are strings, which need room.
func fold(c code, k Kind, parts ...code) code {
	if c.s != nil {
		return c
	}
	for _, p := range parts {
		if p.known == nil {
			return c
		}
	}
	v, wrong := compute(c, &run{})
	if wrong != "" {
		return c
	}
	return knownCode(v, k)
}

// compute is the value of code that reads no variable.
func compute(c code, r *run) (v constant, wrong string) {
	defer func() {
		if p := recover(); p != nil {
			f, ok := p.(*fault)
			if !ok {
				panic(p)
			}
			wrong = f.message
		}
	}()
	switch {
	case c.b != nil:
		if c.b(r) {
			v.integer = 1
		}
	case c.f != nil:
		v.real = c.f(r)
	case c.s != nil:
		v.text = string(c.s(r))
	default:
		v.integer = c.i(r)
	}
	return v, ""
}

// evaluate is the value of a constant expression that has been checked.
func evaluate(e expr) (v constant, wrong string) {
	k := &compiler{constants: true}
	c := k.expr(e)
	return compute(c, &run{text: make([]byte, k.text)})
}

func slotOf(f float64) uint64    { return math.Float64bits(f) }
func realOf(slot uint64) float64 { return math.Float64frombits(slot) }

func bit(b bool) uint64 {
	if b {
		return 1
	}
	return 0
}

package remote

import (
	"math"

	"holdbench/sequence"
)

// sum is a number for what came of an answer, to find out whether another answer says the same. It is
// FNV-1a, 64 bit (from memory), over all values.
func (v *vocabulary) sum(a *answer, out *sequence.Outputs, kept []float64) uint64 {
	h := digest(14695981039346656037)
	h.number(float64(a.state))
	h.text(a.transition)
	h.text(a.cause)
	for i := range v.outputs {
		h.number(v.outputs[i].OutputNumber(out))
	}
	h.text(out.Alarm) // the one free text
	for _, v := range kept {
		h.number(v)
	}
	return uint64(h)
}

type digest uint64

func (d *digest) byte(b byte) { *d = (*d ^ digest(b)) * 1099511628211 }

func (d *digest) number(v float64) {
	bits := math.Float64bits(v)
	for range 8 {
		d.byte(byte(bits))
		bits >>= 8
	}
}

func (d *digest) text(text string) {
	for i := range len(text) {
		d.byte(text[i])
	}
	d.byte(0)
}

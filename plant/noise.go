package plant

import (
	"math"
	"math/bits"
	"sync"

	"holdbench/plant/portable"
)

// noise is one stream of standard normal values. It is a plain value, so that a copy of a
// plant continues with the same noise independently.
//
// The standard library has an equivalent generator and ziggurat (math/rand/v2, PCG and
// NormFloat64). This one is kept for reproducibility: a seed in a scenario, a report or a
// sweep must give the same run in the next version. It also costs less time per value.
type noise struct {
	state uint64
	table *ziggurat // shared, never written
}

// The streams of the sensors; a new sensor takes a new number.
const (
	positionStream uint64 = iota + 1
	currentStream
	judgeCurrentStream
)

// newNoise starts a stream of a seed. Both are first distributed over all bits, so that
// neighbouring seeds and streams are independent.
func newNoise(seed, stream uint64, table *ziggurat) noise {
	n := noise{state: seed, table: table}
	n.state = n.next() ^ stream*0x9e3779b97f4a7c15
	n.next()
	return n
}

// next is the generator wyrand: a Weyl sequence s, of which a product of 128 bits is folded,
//
//	s ← s + a,  u = high ⊕ low of s · (s ⊕ b)
//
// with the first two secrets of wyhash as a and b. It is suitable for noise, not for
// cryptography: not every value of 64 bits occurs. Source: Wang Yi, wyhash, wyhash.h, final
// versions 3 and 4.1 (public domain). The test compares it with the value published by
// SmokeRand.
func (n *noise) next() uint64 {
	n.state += 0xa0761d6478bd642f
	high, low := bits.Mul64(n.state, n.state^0xe7037ed1a0b428db)
	return high ^ low
}

// normal returns a value with the given standard deviation. It draws even if that is zero,
// so that a change of one rig value does not affect later draws. The method is the ziggurat;
// nearly always one table look-up.
func (n *noise) normal(deviation float64) float64 {
	u := n.next()
	x, inside := n.table.inside(u)
	if !inside {
		x = n.edge(u)
	}
	return deviation * x
}

func size32(j int32) uint32 {
	if j < 0 {
		return uint32(-j)
	}
	return uint32(j)
}

// edge accepts or rejects a value at the edge of its layer, or draws from the tail.
func (n *noise) edge(u uint64) float64 {
	t := n.table
	for {
		i := u >> 32 & 127
		x := float64(int32(u)) * t.w[i]
		switch {
		case i == 0:
			return math.Copysign(n.tail(), x)
		case t.f[i]+float64(n.uniform()*(t.f[i-1]-t.f[i])) < portable.Exp(-x*x/2):
			return x
		}
		u = n.next()
		if x, inside := t.inside(u); inside {
			return x
		}
	}
}

// tail draws a value beyond the last layer.
func (n *noise) tail() float64 {
	for {
		x, y := -portable.Log(n.uniform())/zigguratEnd, -portable.Log(n.uniform())
		if y+y >= x*x {
			return zigguratEnd + x
		}
	}
}

// uniform is in (0, 1].
func (n *noise) uniform() float64 { return float64(n.next()>>11+1) / (1 << 53) }

// ziggurat holds the layers of the normal density. Source: Marsaglia and Tsang, The
// Ziggurat Method for Generating Random Variables, J. Statistical Software 5(8), 2000.
type ziggurat struct {
	k    [128]uint32
	w, f [128]float64
}

// inside is the value that a draw u has within its layer, and whether it surely lies under the curve there.
func (t *ziggurat) inside(u uint64) (x float64, ok bool) {
	j, i := int32(u), u>>32&127
	return float64(j) * t.w[i], size32(j) < t.k[i]
}

// zigguratEnd is the start of the tail, zigguratArea the area of each layer: r and v of the
// source for 128 layers.
const (
	zigguratEnd  = 3.442619855899
	zigguratArea = 9.91256303526217e-3
)

//nolint:gochecknoglobals // made once, never changed
var layers = sync.OnceValue(newZiggurat)

func newZiggurat() *ziggurat {
	const scale = 1 << 31
	density := func(x float64) float64 { return portable.Exp(-x * x / 2) }
	t := new(ziggurat)
	x := zigguratEnd
	base := zigguratArea / density(x)
	t.k[0], t.w[0], t.f[0] = uint32(x/base*scale), base/scale, 1
	t.w[127], t.f[127] = x/scale, density(x)
	for i := 126; i >= 1; i-- {
		before := x
		x = math.Sqrt(-2 * portable.Log(zigguratArea/x+density(x)))
		t.k[i+1] = uint32(x / before * scale)
		t.w[i], t.f[i] = x/scale, density(x)
	}
	return t
}

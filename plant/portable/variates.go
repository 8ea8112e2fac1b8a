package portable

import (
	"math"
	"math/rand/v2"
	"sync"
)

// layers are those of a falling density: up to edge of the integers, value per integer, density.
// Source: Marsaglia and Tsang, The Ziggurat Method for Generating Random Variables, J. Statistical
// Software 5(8), 2000.
type layers struct {
	edge           []uint32
	value, density []float32
}

// The start of the tail, and the area of each layer: r and v of the source for 128 layers of the
// normal and 256 of the exponential density.
const (
	normalTail      = 3.442619855899
	normalArea      = 9.91256303526217e-3
	exponentialTail = 7.69711747013104972
	exponentialArea = 3.949659822581572e-3
)

//nolint:gochecknoglobals // made once, never changed
var (
	normalLayers = sync.OnceValue(func() *layers {
		return newLayers(128, 1<<31, normalTail, normalArea, normalDensity, func(y float64) float64 { return math.Sqrt(-2 * Log(y)) })
	})
	exponentialLayers = sync.OnceValue(func() *layers {
		return newLayers(256, 1<<32, exponentialTail, exponentialArea, exponentialDensity, func(y float64) float64 { return -Log(y) })
	})
)

func normalDensity(x float64) float64      { return Exp(float64(-x * x / 2)) }
func exponentialDensity(x float64) float64 { return Exp(-x) }

// newLayers divides a density into layers of equal area; inverse is that of the density.
func newLayers(count int, scale, tail, area float64, density, inverse func(float64) float64) *layers {
	l := &layers{edge: make([]uint32, count), value: make([]float32, count), density: make([]float32, count)}
	last, x, base := count-1, tail, area/density(tail)
	l.edge[0], l.value[0], l.density[0] = uint32(x/base*scale), float32(base/scale), 1
	l.value[last], l.density[last] = float32(x/scale), float32(density(x))
	for i := last - 1; i >= 1; i-- {
		before := x
		x = inverse(area/x + density(x))
		l.edge[i+1] = uint32(x / before * scale)
		l.value[i], l.density[i] = float32(x/scale), float32(density(x))
	}
	return l
}

// accepts is whether a value in the upper corner of a layer lies below the density, for a draw
// from 0 to 1.
func (l *layers) accepts(i uint64, draw, density float64) bool {
	rise := float32(float32(draw) * (l.density[i-1] - l.density[i]))
	return l.density[i]+rise < float32(density)
}

// Normal draws a standard normal value: that of [rand.Rand.NormFloat64], but where the logarithm
// of package math has other last bits.
func Normal(source *rand.Rand) float64 {
	l := normalLayers()
	for {
		u := source.Uint64()
		j, i := int32(u), u>>32&127 //nolint:gosec // the lower half, with a sign
		x := float64(j) * float64(l.value[i])
		switch {
		case size(j) < l.edge[i]:
			return x
		case i == 0:
			return math.Copysign(beyondTail(source), float64(j))
		case l.accepts(i, source.Float64(), normalDensity(x)):
			return x
		}
	}
}

func size(j int32) uint32 {
	if j < 0 {
		return uint32(-j)
	}
	return uint32(j)
}

func beyondTail(source *rand.Rand) float64 {
	for {
		x := float64(-Log(source.Float64()) * (1 / normalTail))
		y := -Log(source.Float64())
		if y+y >= x*x {
			return normalTail + x
		}
	}
}

// Exponential draws a value of an exponential distribution with a mean of 1, as
// [rand.Rand.ExpFloat64] with the same exception.
func Exponential(source *rand.Rand) float64 {
	l := exponentialLayers()
	for {
		u := source.Uint64()
		j, i := uint32(u), u>>32&255 //nolint:gosec // the lower half
		x := float64(j) * float64(l.value[i])
		switch {
		case j < l.edge[i]:
			return x
		case i == 0:
			return exponentialTail - Log(source.Float64())
		case l.accepts(i, source.Float64(), exponentialDensity(x)):
			return x
		}
	}
}

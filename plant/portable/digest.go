package portable

import (
	"encoding/binary"
	"hash"
	"math"
	"math/rand/v2"
)

// Digest adds results of all functions of the package to a sum: their bits over a fixed set of
// arguments.
func Digest(sum hash.Hash) {
	draw := rand.New(rand.NewPCG(1, 2))
	var buffer []byte
	for range 64 {
		x := float64(draw.Float64()*40) - 20
		for _, v := range results(x) {
			buffer = binary.LittleEndian.AppendUint64(buffer[:0], math.Float64bits(v))
			sum.Write(buffer)
		}
	}
	for range 512 {
		buffer = binary.LittleEndian.AppendUint64(buffer[:0], math.Float64bits(Normal(draw)))
		buffer = binary.LittleEndian.AppendUint64(buffer, math.Float64bits(Exponential(draw)))
		sum.Write(buffer)
	}
}

func results(x float64) []float64 {
	size, share := math.Abs(x), float64(math.Abs(x)/20)
	return []float64{
		Exp(x), Expm1(x), Log(size), Log1p(size), Log10(size), Pow(size, x), Hypot(x, 1),
		Sin(x), Cos(x), Tan(x), Sin(float64(x * 1e18)), Atan(x), Atan2(x, 3), Asin(share), Acos(share),
		NormalDensity(x), NormalCDF(x), NormalQuantile(share),
	}
}

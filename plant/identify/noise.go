package identify

import "math"

// noise is the noise of the signals of all recordings, as measured at standstill.
type noise struct {
	angleRad  float64 // standard deviation with rounding
	sensorRad float64 // without rounding
	quantum   float64 // rad, smallest change
	currentA  float64 // A rms
	samples   int     // of the angle
	currents  int     // of the current
	rounded   bool    // rounding hides the noise of the sensor
}

// measureNoise takes the noise from the pieces at standstill, the brake closed where there are such. Of
// the angle it is the deviation less rounding, σ² = s² − q²/12 (Sheppard's correction); of a
// deviation below a third of the increment q it cannot be told apart from rounding. Slow changes are
// taken out: a straight line through each tenth of a second.
func measureNoise(tracks []track, pieces [][]Piece) noise {
	angle, quantum := stillness(tracks, pieces, func(k *track) series { return k.angle })
	current, step := stillness(tracks, pieces, func(k *track) series { return k.current })
	n := noise{quantum: quantum, samples: angle.n, currents: current.n}
	rounding := quantum / math.Sqrt(12)
	n.angleRad = angle.deviation()
	if n.angleRad*3 < quantum {
		n.rounded, n.angleRad = true, max(n.angleRad, rounding)
	} else {
		n.sensorRad = math.Sqrt(max(0, n.angleRad*n.angleRad-rounding*rounding))
	}
	n.currentA = max(current.deviation(), step/math.Sqrt(12))
	return n
}

// pool are the variances of short parts.
type pool struct {
	variances []float64
	n         int // samples
}

// deviation is that of the median part: a part in which something moves does not count. The median of a
// variance with k degrees of freedom is k (1 − 2/(9k))³ of its mean (Wilson and Hilferty, 1931, from memory).
func (p *pool) deviation() float64 {
	const k = windowSamples - 2
	const root = 1 - 2.0/(9*k)
	return math.Sqrt(median(p.variances) / (root * root * root))
}

// stillness pools a signal about straight lines through short parts at standstill.
func stillness(tracks []track, pieces [][]Piece, of func(*track) series) (p pool, quantum float64) {
	quantum = math.Inf(1)
	for _, closed := range []bool{true, false} {
		for i := range tracks {
			signal := of(&tracks[i])
			if q := signal.quantum(); q > 0 {
				quantum = min(quantum, q)
			}
			for _, piece := range pieces[i] {
				if piece.Kind.closed() && closed || piece.Kind == StandstillOpen && !closed {
					p.add(signal.between(piece.FromS, piece.ToS))
				}
			}
		}
		if p.n >= leastNoise {
			break
		}
	}
	if math.IsInf(quantum, 1) {
		quantum = 0
	}
	return p, quantum
}

// leastNoise is the number of samples with the brake closed from which those with an open one are not needed.
const leastNoise = 10 * windowSamples

func (p *pool) add(s series) {
	for from := 0; from+windowSamples <= len(s.t); from += windowSamples {
		part := series{s.t[from : from+windowSamples], s.x[from : from+windowSamples]}
		_, off := part.slopes(windowSamples)
		squares := 0.0
		for _, x := range off {
			squares += x * x
		}
		p.variances = append(p.variances, squares/(windowSamples-2))
		p.n += windowSamples
	}
}

// ofMean is the standard deviation of the mean of n samples of the angle at one place. Noise becomes smaller
// by repetition. The error of rounding does not: what the noise leaves of it is, with σ its deviation,
//
//	(q/π) exp(−2 π² σ²/q²) sin(2π x/q)
//
// of which the mean square counts. Source: first harmonic of the characteristic function, Widrow and
// Kollár, Quantization Noise, 2008, ch. 4 (from memory).
func (n *noise) ofMean(samples int) float64 {
	variance := n.angleRad * n.angleRad / float64(samples)
	if n.quantum > 0 {
		ratio := math.Pi * n.sensorRad / n.quantum
		left := n.quantum / math.Pi * math.Exp(-2*ratio*ratio)
		variance += left * left / 2
	}
	return math.Sqrt(variance)
}

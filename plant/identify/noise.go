package identify

import "math"

// noise is the noise of the signals of all recordings, as measured at standstill.
type noise struct {
	angleRad  float64 // standard deviation with rounding
	sensorRad float64 // without rounding
	roundRad  float64 // standard error of that by rounding
	quantum   float64 // rad, increment of the position: of the encoder or, where that is coarser, of the recorder
	recorded  float64 // rad, smallest change in the recordings
	currentA  float64 // A rms
	movingA   float64 // the same in motion
	torqueNM  float64 // of a measured torque
	angles    pool
	currents  pool
	rounded   bool // rounding hides the noise of the sensor
}

// measureNoise takes the noise from the pieces at standstill, with the brake closed where there are such. Of
// the angle it is the deviation less rounding, σ² = s² − q²/12 (Sheppard's correction). Where the noise
// is smaller than the increment q, the variance at one place differs from that by up to
//
//	(q²/π² + 4 σ²) exp(−2 π² σ²/q²)
//
// so that it is known the better the more places there are; of a deviation below a third of q it cannot be told
// apart from rounding. Source: Widrow and Kollár, Quantization Noise, 2008, ch. 4 (from memory). Slow
// changes are taken out: a straight line through each short part. A recorder that rounds more finely than
// the encoder adds its own error of rounding.
func measureNoise(tracks []track, pieces [][]Piece, incrementRad float64) noise {
	angles, recorded := stillness(tracks, pieces, func(k *track) series { return k.angle })
	currents, step := stillness(tracks, pieces, func(k *track) series { return k.current })
	n := noise{quantum: recorded, recorded: recorded, angles: angles, currents: currents}
	rounding := recorded / math.Sqrt(12)
	if recorded > 0 && recorded < incrementRad*finer {
		n.quantum, rounding = incrementRad, math.Hypot(recorded, incrementRad)/math.Sqrt(12)
	}
	n.angleRad = angles.deviation()
	if n.angleRad*3 < n.quantum {
		n.rounded, n.angleRad = true, max(n.angleRad, rounding)
	} else {
		n.sensorRad = math.Sqrt(max(0, n.angleRad*n.angleRad-rounding*rounding))
		n.roundRad = n.ofVariance() / (2 * math.Sqrt2 * max(n.sensorRad, rounding)) / math.Sqrt(float64(max(1, len(angles.places))))
	}
	n.currentA = max(currents.deviation(), step/math.Sqrt(12))
	return n
}

// finer is the share of the encoder's increment below which the steps of a recording are those of the recorder.
const finer = 0.9

// ofVariance is by how much the variance of a rounded signal at one place may differ, see measureNoise.
func (n *noise) ofVariance() float64 {
	if n.quantum == 0 {
		return 0
	}
	ratio := math.Pi * n.sensorRad / n.quantum
	step := n.quantum / math.Pi
	return (step*step + 4*n.sensorRad*n.sensorRad) * math.Exp(-2*ratio*ratio)
}

// pool are the variances of short parts.
type pool struct {
	variances []float64
	places    []float64 // deviations in each piece
	sizes     []int     // samples of each of them
}

func (p *pool) deviation() float64 { return typical(still(p.variances)) }

// samples is the number of samples in which nothing moves.
func (p *pool) samples() int { return windowSamples * len(still(p.variances)) }

// outlying is how many times the median a variance must be to be that of a part in which something moves. Of a
// variance of equal noise with some twenty degrees of freedom it is not reached once in a million.
const outlying = 3

// still are the variances of the parts in which nothing moves.
func still(variances []float64) []float64 {
	limit := outlying * median(variances)
	var found []float64
	for _, v := range variances {
		if v <= limit {
			found = append(found, v)
		}
	}
	return found
}

func typical(variances []float64) float64 {
	if len(variances) == 0 {
		return 0
	}
	return math.Sqrt(mean(variances))
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
		if p.samples() >= leastNoise {
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
	before := len(p.variances)
	for from := 0; from+windowSamples <= len(s.t); from += windowSamples {
		part := series{s.t[from : from+windowSamples], s.x[from : from+windowSamples]}
		squares := 0.0
		for i := range part.t {
			_, off := part.lineAt(i, windowSamples)
			squares += off * off
		}
		p.variances = append(p.variances, squares/(windowSamples-2))
	}
	if len(p.variances) > before {
		p.places = append(p.places, typical(still(p.variances[before:])))
		p.sizes = append(p.sizes, windowSamples*len(still(p.variances[before:])))
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

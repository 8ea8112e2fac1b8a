package identify

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"holdbench/plant/recording"
)

// wild is a recording with anything in it: stretches of other recordings, steps, noise, gaps, constant signals.
func wild(t *rapid.T, whole *recording.Recording) *recording.Recording {
	from := rapid.IntRange(0, len(whole.Time)-1).Draw(t, "from")
	n := rapid.IntRange(1, min(3000, len(whole.Time)-from)).Draw(t, "samples")
	rec := &recording.Recording{Source: "wild.csv"}
	at, every := 0.0, rapid.SampledFrom([]float64{1e-5, 0.002, 0.1, 3}).Draw(t, "period")
	irregular := rapid.Bool().Draw(t, "irregular")
	for i := range n {
		rec.Time = append(rec.Time, at)
		at += every
		if irregular && i%7 == 0 {
			at += every * 20
		}
	}
	for _, c := range whole.Channels {
		if rapid.IntRange(0, 5).Draw(t, "left out") == 0 {
			continue
		}
		values := append([]float64(nil), whole.Values(c.Signal)[from:from+n]...)
		spoil(t, values)
		rec.Channels = append(rec.Channels, recording.Channel{Signal: c.Signal, Values: values})
	}
	return rec
}

func spoil(t *rapid.T, values []float64) {
	switch rapid.SampledFrom([]string{"as it is", "gaps", "constant", "scaled", "jump", "spikes", "none"}).Draw(t, "spoiled") {
	case "gaps":
		every := rapid.IntRange(2, 30).Draw(t, "every")
		for i := range values {
			if i%every != 0 {
				values[i] = math.NaN()
			}
		}
	case "constant":
		for i := range values {
			values[i] = values[0]
		}
	case "scaled":
		by := rapid.SampledFrom([]float64{-1, 1e-9, 1e6}).Draw(t, "by")
		for i := range values {
			values[i] *= by
		}
	case "jump":
		for i := len(values) / 2; i < len(values); i++ {
			values[i] += 1e4
		}
	case "spikes":
		for i := 5; i < len(values); i += 97 {
			values[i] = 1e12
		}
	case "none":
		for i := range values {
			values[i] = math.NaN()
		}
	}
}

// Whatever is in a recording, there is an error in words or a result whose numbers are numbers; nothing panics.
func TestAnyRecording(t *testing.T) {
	r := screwAxis()
	whole := recorded(&r, 1, manoeuvres(&r))
	rapid.Check(t, func(q *rapid.T) {
		result, err := Identify(t.Context(), []*recording.Recording{wild(q, whole)}, &r, Options{MassKG: rapid.SampledFrom([]float64{0, 180}).Draw(q, "mass")})
		if err != nil {
			assert.NotEmpty(q, err.Error())
			return
		}
		for _, v := range result.Values {
			if v.Standing != NotDetermined {
				assert.False(q, math.IsNaN(v.Value) || math.IsInf(v.Value, 0), "%s %s is %g", v.Path, v.Name, v.Value)
				assert.LessOrEqual(q, v.Low, v.High, v.Name)
			}
		}
	})
}

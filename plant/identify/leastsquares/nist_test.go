package leastsquares_test

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/identify/leastsquares"
)

// The models of the data sets, from the head of each file of NIST.
var nistModels = map[string]func(b []float64, x float64) float64{
	"Misra1a":  func(b []float64, x float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"BoxBOD":   func(b []float64, x float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"Chwirut2": func(b []float64, x float64) float64 { return math.Exp(-b[0]*x) / (b[1] + b[2]*x) },
	"DanWood":  func(b []float64, x float64) float64 { return b[0] * math.Pow(x, b[1]) },
	"Lanczos2": func(b []float64, x float64) float64 {
		return b[0]*math.Exp(-b[1]*x) + b[2]*math.Exp(-b[3]*x) + b[4]*math.Exp(-b[5]*x)
	},
	"Kirby2":  func(b []float64, x float64) float64 { return (b[0] + x*(b[1]+x*b[2])) / (1 + x*(b[3]+x*b[4])) },
	"Hahn1":   cubicRatio,
	"Thurber": cubicRatio,
	"MGH17": func(b []float64, x float64) float64 {
		return b[0] + b[1]*math.Exp(-x*b[3]) + b[2]*math.Exp(-x*b[4])
	},
	"Rat42":    func(b []float64, x float64) float64 { return b[0] / (1 + math.Exp(b[1]-b[2]*x)) },
	"Rat43":    func(b []float64, x float64) float64 { return b[0] / math.Pow(1+math.Exp(b[1]-b[2]*x), 1/b[3]) },
	"MGH09":    func(b []float64, x float64) float64 { return b[0] * (x*x + x*b[1]) / (x*x + x*b[2] + b[3]) },
	"MGH10":    func(b []float64, x float64) float64 { return b[0] * math.Exp(b[1]/(x+b[2])) },
	"Eckerle4": func(b []float64, x float64) float64 { z := (x - b[2]) / b[1]; return b[0] / b[1] * math.Exp(-z*z/2) },
	"Bennett5": func(b []float64, x float64) float64 { return b[0] * math.Pow(b[1]+x, -1/b[2]) },
}

func cubicRatio(b []float64, x float64) float64 {
	return (b[0] + x*(b[1]+x*(b[2]+x*b[3]))) / (1 + x*(b[4]+x*(b[5]+x*b[6])))
}

type nistSet struct {
	values map[string][]float64
	x, y   []float64
}

func readNIST(tb testing.TB, name string) nistSet {
	tb.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "nist", name+".txt"))
	require.NoError(tb, err)
	set := nistSet{values: map[string][]float64{}}
	for line := range strings.Lines(string(text)) {
		fields := strings.Fields(line)
		switch {
		case fields[0] == "#" || fields[0] == "data":
		case strings.Contains(fields[0], "_") || fields[0] == "certified":
			set.values[fields[0]] = numbers(tb, fields[1:])
		default:
			pair := numbers(tb, fields)
			set.y, set.x = append(set.y, pair[0]), append(set.x, pair[1])
		}
	}
	return set
}

func numbers(tb testing.TB, fields []string) []float64 {
	tb.Helper()
	to := make([]float64, len(fields))
	for i, field := range fields {
		value, err := strconv.ParseFloat(field, 64)
		require.NoError(tb, err)
		to[i] = value
	}
	return to
}

func (s nistSet) problem(name, start string) leastsquares.Problem {
	model := nistModels[name]
	problem := leastsquares.Problem{Observed: s.y, Model: func(predicted, b []float64) {
		for i, x := range s.x {
			predicted[i] = model(b, x)
		}
	}}
	for j, value := range s.values[start] {
		problem.Parameters = append(problem.Parameters, leastsquares.Parameter{Name: "b" + strconv.Itoa(j+1), Start: value})
	}
	return problem
}

// Source: NIST/ITL Statistical Reference Datasets, nonlinear regression: certified values, from
// both of NIST's starts. The files in testdata hold the data sets.
func TestCertifiedValuesOfNIST(t *testing.T) {
	for name := range nistModels {
		set := readNIST(t, name)
		for _, start := range []string{"start_1", "start_2"} {
			t.Run(name+"/"+start, func(t *testing.T) {
				fit, err := leastsquares.Fit(t.Context(), set.problem(name, start), leastsquares.Settings{})
				require.NoError(t, err)
				t.Logf("%s after %d evaluations, condition %.2g", fit.Status, fit.Evaluations, fit.Condition)
				assert.True(t, fit.Status.Converged(), fit.Status)
				assert.Less(t, fit.Offset, 1e-3, "by the criterion of Bates and Watts")
				for j, estimate := range fit.Estimates {
					assert.InEpsilon(t, set.values["certified"][j], estimate.Value, 1e-6, estimate.Name)
					assert.InEpsilon(t, set.values["standard_deviation"][j], estimate.StandardError, 1e-5, estimate.Name)
				}
				certified := set.values["residual_sum_of_squares"][0]
				free := float64(len(set.y) - len(fit.Estimates))
				assert.InEpsilon(t, math.Sqrt(certified/free), fit.ResidualSD, 1e-7)
			})
		}
	}
}

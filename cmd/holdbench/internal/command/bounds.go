package command

import (
	"math"
	"runtime"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"holdbench/plant/problem"
)

// mostWorkers bounds how many runs go on at a time: more than any machine has processors for, and few enough
// for its memory.
const mostWorkers = 1024

// AddWorkers adds the number of parallel runs.
func AddWorkers(c *cobra.Command, workers *int) {
	c.Flags().IntVar(workers, "workers", min(runtime.NumCPU(), mostWorkers), "number of parallel runs")
	Bound(c, "workers", 1, mostWorkers)
}

// Bound gives a numeric flag both its bounds.
func Bound(c *cobra.Command, name string, low, high float64) {
	bound(c, name, low, high, problem.Text("from %g to %g", low, high), func(text string) (float64, error) {
		return strconv.ParseFloat(text, 64)
	})
}

// BoundTime is [Bound] of a time.
func BoundTime(c *cobra.Command, name string, low, high time.Duration) {
	bound(c, name, float64(low), float64(high), problem.Text("a time from %s to %s", low, high), func(text string) (float64, error) {
		t, err := time.ParseDuration(text)
		return float64(t), err
	})
}

func bound(c *cobra.Command, name string, low, high float64, must string, parse func(string) (float64, error)) {
	f := c.Flags().Lookup(name)
	switch f.Value.Type() {
	case "int", "uint64":
		must = "a whole number " + must
	case "float64":
		must = "a number " + must
	case "float64Slice":
		must = "numbers " + must
	}
	f.Value = &bounded{f.Value, low, high, must, parse}
}

// bounded is the value of a flag that is refused outside its bounds.
type bounded struct {
	pflag.Value
	low, high float64
	must      string
	parse     func(string) (float64, error)
}

// Set takes a value, or the values of a list.
func (b *bounded) Set(text string) error {
	parts := []string{text}
	if strings.HasSuffix(b.Type(), "Slice") {
		parts = strings.Split(text, ",")
	}
	for _, part := range parts {
		x, err := b.parse(strings.TrimSpace(part))
		if err != nil || math.IsNaN(x) || x < b.low || x > b.high {
			return &outOfBounds{b.must}
		}
	}
	if err := b.Value.Set(text); err != nil {
		return &outOfBounds{b.must}
	}
	return nil
}

// outOfBounds is the error of a value that a flag does not take.
type outOfBounds struct{ must string }

func (e *outOfBounds) Error() string { return "must be " + e.must }

package compare_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/sim/compare"
)

// Two figures have four digits that count, more where the first digit of their difference would not be seen, and B − A
// is what a reader subtracts.
func TestFiguresShowTheirDifference(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a, b    string
		differs bool
		want    [3]string
	}{
		{"171936", "28800", true, [3]string{"171936", "28800", "-143136"}},
		{"28799.992", "28800", true, [3]string{"28799.992", "28800", "+0.008"}},
		{"420", "420.0123", true, [3]string{"420", "420.01", "+0.01"}},
		{"419.9974", "419.9492", true, [3]string{"420", "419.95", "-0.05"}},
		{"419.9974", "420.1", true, [3]string{"420", "420.1", "+0.1"}},
		{"-1.4281", "8.5962", true, [3]string{"-1.428", "8.596", "+10.02"}},
		{"39.7983", "12.1", true, [3]string{"39.8", "12.1", "-27.7"}},
		{"4", "4", true, [3]string{"4", "4", "0"}},
		{"420", "420.0123", false, [3]string{"420", "420", "0"}},
		{"2.12634", "2.1263", false, [3]string{"2.126", "2.126", "0"}},
		{"-3.6512", "3.6512", true, [3]string{"-3.651", "3.651", "+7.302"}},
		{"0.0019137", "0", true, [3]string{"0.001914", "0", "-0.001914"}},
		{"1e-12", "-1e-12", true, [3]string{"0", "0", "0"}},
		{"0", "0", false, [3]string{"0", "0", "0"}},
	} {
		a, b, apart, ok := compare.Figures(c.a, c.b, c.differs)
		assert.True(t, ok)
		assert.Equal(t, c.want, [3]string{a, b, apart}, "%s and %s", c.a, c.b)
	}
	_, _, _, ok := compare.Figures("", "1", true)
	assert.False(t, ok, "a value that one run does not have")
}

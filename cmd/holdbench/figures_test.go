//go:build unix

package main

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// overlong are the figures in what a program wrote that have more than four significant digits and go on beyond the
// third decimal, which is the millisecond of a time and the micrometre of a way. A moment or a duration as a document
// has it, such as 2.91825s, is exact to the tick, and has five decimals at most; standard gravity is exact as well. A power of ten above one is among them: nobody
// reads 2.88e+04 beside a limit.
func overlong(raw string) []string {
	const most, decimals, gravity = 4, 5, "9.80665"
	text := regexp.MustCompile(`\x1b\[[0-9;]*m`).ReplaceAllString(raw, "") // looks, within a line
	text = regexp.MustCompile(`\x1b[^a-zA-Z]*[a-zA-Z]`).ReplaceAllString(text, "\n")
	var list []string
	for _, figure := range regexp.MustCompile(`[0-9]+\.[0-9]{4,}(e[-+0-9]+)?m?s?`).FindAllString(text, -1) {
		digits, isTime := strings.CutSuffix(strings.TrimSuffix(figure, "ms"), "s")
		_, behind, _ := strings.Cut(digits, ".")
		whole := strings.TrimLeft(strings.Replace(digits, ".", "", 1), "0")
		exact := isTime && len(behind) <= decimals || figure == gravity
		if len(whole) > most && !exact && !slices.Contains(list, figure) {
			list = append(list, figure)
		}
	}
	return append(list, regexp.MustCompile(`[0-9]e\+[0-9]+`).FindAllString(text, -1)...)
}

// What is overlong, and what is not.
func TestOverlong(t *testing.T) {
	screen := "1.5042499999999999s 3.336 s 1234.567 mm 0.0004572 0.00045721 2.91825s 2.918250s 0.3672 \x1b[1m12\x1b[m.34567 3.1812345e-05 18.65625 s 2.88e+04 s"
	assert.Equal(t, []string{"1.5042499999999999s", "0.00045721", "2.918250s", "12.34567", "3.1812345e-05", "18.65625", "8e+04"}, overlong(screen))
}

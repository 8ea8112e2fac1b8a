//go:build unix

package main

import (
	"encoding/binary"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The themes take effect: text has a contrast of 4.5:1 on the backgrounds of a theme that is given or stated, and
// 3:1 on all of them where nothing is known of it.
func TestBenchThemes(t *testing.T) {
	dark, light := []string{"#000000", "#1e1e1e", "#002b36"}, []string{"#ffffff", "#fdf6e3"}
	themes := []struct {
		name    string
		state   string // of the terminal, in COLORFGBG
		args    []string
		grounds []string
		least   float64
	}{
		{"dark", "0;15", []string{"--theme", "dark"}, dark, 4.5},
		{"light", "15;0", []string{"--theme", "light"}, light, 4.5},
		{"stated dark", "15;0", nil, dark, 4.5},
		{"stated light", "0;15", []string{"--theme", "auto"}, light, 4.5},
		{"not stated", "", nil, slices.Concat(dark, light), 3},
	}
	atEachSize(t, func(at desk) {
		t := at.t
		used := map[string][]string{}
		for _, theme := range themes {
			colours := foregrounds(at.wrote([]string{"COLORTERM=truecolor", "COLORFGBG=" + theme.state}, theme.args...))
			require.NotEmpty(t, colours, theme.name)
			used[theme.name] = colours
			for _, colour := range colours {
				for _, ground := range theme.grounds {
					assert.GreaterOrEqual(t, contrast(termenv.RGBColor(colour), termenv.RGBColor(ground)), theme.least, "%s: %s on %s", theme.name, colour, ground)
				}
			}
		}
		assert.Equal(t, used["dark"], used["stated dark"])
		assert.Equal(t, used["light"], used["stated light"])
		assert.NotEqual(t, used["dark"], used["light"])
		assert.NotEqual(t, used["not stated"], used["light"])
		assert.NotEqual(t, used["not stated"], used["dark"])
	})
}

// foregrounds are the colours of all text that a program wrote, in 24 bits.
func foregrounds(raw string) []string {
	found := map[string]bool{}
	for _, look := range looks(raw) {
		parts := strings.Split(look, ";")
		if at := slices.Index(parts, "38"); at >= 0 && at+4 < len(parts) && parts[at+1] == "2" {
			found[hex(parts[at+2:at+5])] = true
		}
	}
	return slices.Sorted(maps.Keys(found))
}

func hex(decimals []string) string {
	var text strings.Builder
	text.WriteByte('#')
	for _, d := range decimals {
		n, _ := strconv.Atoi(d)
		fmt.Fprintf(&text, "%02x", n)
	}
	return text.String()
}

// looks are the arguments of all escapes that change how text looks.
func looks(raw string) []string {
	var list []string
	for _, m := range regexp.MustCompile(`\x1b\[([0-9;]*)m`).FindAllStringSubmatch(raw, -1) {
		list = append(list, m[1])
	}
	return list
}

// contrast is the ratio of WCAG 2.2 between two colours: (L1 + 0.05) / (L2 + 0.05), L1 the lighter.
func contrast(one, other termenv.Color) float64 {
	light, dark := luminance(one), luminance(other)
	return (max(light, dark) + 0.05) / (min(light, dark) + 0.05)
}

// luminance is L = 0.2126 R + 0.7152 G + 0.0722 B with R, G, B linear: c/12.92 up to 0.04045, else
// ((c + 0.055)/1.055)^2.4.
func luminance(c termenv.Color) float64 {
	linear := func(v float64) float64 {
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	rgb := termenv.ConvertToRGB(c)
	return 0.2126*linear(rgb.R) + 0.7152*linear(rgb.G) + 0.0722*linear(rgb.B)
}

// A terminal of 8 colours gets codes of these alone, one of 16 those and their bright ones, one of 256 none of 24
// bits; without colours there are bold and reverse alone.
func TestBenchFewColours(t *testing.T) {
	atEachSize(t, func(at desk) {
		t := at.t
		database := terminfo(t, "eight", 8)
		for _, c := range []struct {
			name    string
			env     []string
			may     string // the codes of an escape that are allowed
			must    string // one that is used
			mustNot string
		}{
			{"8", []string{"TERM=eight", "TERMINFO=" + database}, `^([0127]|3[1-6])?$`, `^3[1-6]$`, ""},
			{"16", []string{"TERM=xterm-16color"}, `^([0127]|3[1-6]|9[1-6])?$`, `^9[1-6]$`, ""},
			{"256", []string{"TERM=xterm-256color"}, `^([0127]|38|5|[0-9]+)?$`, `^38$`, `38;2;`},
			{"none", []string{"TERM=xterm-256color", "NO_COLOR=1"}, `^[0127]?$`, `^1$`, ""},
		} {
			wrote := at.wrote(c.env, "--theme", "dark")
			used := codes(wrote)
			for _, code := range used {
				assert.Regexp(t, c.may, code, c.name)
			}
			assert.True(t, slices.ContainsFunc(used, regexp.MustCompile(c.must).MatchString), "%s: %v", c.name, used)
			if c.mustNot != "" {
				assert.NotRegexp(t, c.mustNot, strings.Join(looks(wrote), "\n"))
			}
		}
	})
}

// codes are the single codes of all looks.
func codes(raw string) []string {
	found := map[string]bool{}
	for _, look := range looks(raw) {
		for code := range strings.SplitSeq(look, ";") {
			found[code] = true
		}
	}
	return slices.Sorted(maps.Keys(found))
}

// terminfo makes a database with one terminal of so many colours, in the compiled form of term(5): a header of six
// numbers, the name, no flags, and the numbers up to that of the colours; those before it are absent.
func terminfo(t *testing.T, name string, colours int16) string {
	t.Helper()
	const magic, maxColors = 0o432, 13
	numbers := slices.Repeat([]int16{-1}, maxColors+1)
	numbers[maxColors] = colours
	names := []byte(name + "\x00")
	if len(names)%2 == 1 {
		names = append([]byte{' '}, names...)
	}
	text := []byte{}
	for _, n := range []int16{magic, int16(len(names)), 0, int16(len(numbers)), 0, 0} {
		text = binary.LittleEndian.AppendUint16(text, uint16(n))
	}
	text = append(text, names...)
	for _, n := range numbers {
		text = binary.LittleEndian.AppendUint16(text, uint16(n))
	}
	folder := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(folder, name[:1]), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(folder, name[:1], name), text, 0o644))
	return folder
}

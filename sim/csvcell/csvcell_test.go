package csvcell

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestText(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"": "", "moved": "moved", "a=b": "a=b", " =1+1": " =1+1", "'quoted": "'quoted",
		"=1+1": "'=1+1", `=HYPERLINK("x")`: `'=HYPERLINK("x")`, "+1+1": "'+1+1", "-1+1": "'-1+1", "@SUM(A1)": "'@SUM(A1)",
		"\t=1": `'\t=1`, "\r=1": `'\r=1`, "\n=1": `'\n=1`, "＝1+1": "'＝1+1", "－A1": "'－A1", "-": "'-", "+": "'+", "-up": "'-up", "-e5": "'-e5",
		"-1": "-1", "-0.25": "-0.25", "+3": "+3", "-1e-05": "-1e-05", "-.5": "-.5", "-Inf": "-Inf", "-1e": "'-1e", "-1 ": "'-1 ", "-1\n=1": `'-1\n=1`,
		"al\x1b[31marm\a": `al\x1b[31marm\a`, "two\nlines": `two\nlines`, "\u202egnp": `\u202egnp`, "\u009b1m": `\u009b1m`, "N·m, ü": "N·m, ü",
	} {
		assert.Equal(t, want, Text(text), "%q", text)
	}
}

func TestRow(t *testing.T) {
	t.Parallel()
	assert.Equal(t, []string{"-2", "'=A1", "moved"}, Row([]string{"-2", "=A1", "moved"}))
}

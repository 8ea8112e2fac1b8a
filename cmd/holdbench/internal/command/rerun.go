package command

import (
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
)

// Rerun makes the command that runs a cell again.
type Rerun struct{ Words [][]string } // what belongs together stays on one line

// NewRerun is the command that runs a scenario with other values.
func NewRerun(reference string, f *OverrideFlags) *Rerun {
	r := &Rerun{[][]string{{"holdbench", "run", reference}}}
	if f.Rig != "" {
		r.add("--rig", f.Rig)
	}
	if f.Sequence != "" {
		r.add("--sequence", f.Sequence)
	}
	if f.Seed != 0 {
		r.add("--seed", strconv.FormatUint(f.Seed, 10))
	}
	for _, text := range f.Set {
		r.add("--set", text)
	}
	if f.Outside.Command != "" {
		r.add("--controller", f.Outside.Command)
	}
	if f.reach == scenarios.Anywhere {
		r.add("--" + allowOutside)
	}
	return r
}

func (r *Rerun) add(words ...string) { r.Words = append(r.Words, words) }

// ShellLine quotes words for a shell, those that need it.
func ShellLine(words []string) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = shellWord(w)
	}
	return strings.Join(quoted, " ")
}

func shellWord(word string) string {
	harmless := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./:=,+@%", r)
	}
	if word != "" && strings.TrimLeftFunc(word, harmless) == "" {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

// Resumption is a command as it was given, with its words, less --anew.
func Resumption(c *cobra.Command, given []string) string {
	words := append(strings.Fields(c.CommandPath()), given...)
	c.Flags().Visit(func(f *pflag.Flag) {
		list, several := f.Value.(pflag.SliceValue)
		switch {
		case f.Name == "anew":
		case several:
			for _, value := range list.GetSlice() {
				words = append(words, "--"+f.Name, value)
			}
		case f.Value.Type() == "bool" && f.Value.String() == "true":
			words = append(words, "--"+f.Name)
		case f.Value.Type() == "bool":
		default:
			words = append(words, "--"+f.Name, f.Value.String())
		}
	})
	return page.CleanLine(ShellLine(words))
}

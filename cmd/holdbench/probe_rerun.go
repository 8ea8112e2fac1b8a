package main

import (
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"holdbench/sim/probe"
)

// rerun makes the command that runs a cell again.
type rerun struct{ words [][]string } // what belongs together stays on one line

func newRerun(reference string, f *overrideFlags) *rerun {
	r := &rerun{[][]string{{"holdbench", "run", reference}}}
	if f.rig != "" {
		r.add("--rig", f.rig)
	}
	if f.sequence != "" {
		r.add("--sequence", f.sequence)
	}
	if f.seed != 0 {
		r.add("--seed", strconv.FormatUint(f.seed, 10))
	}
	for _, text := range f.set {
		r.add("--set", text)
	}
	return r
}

func (r *rerun) add(words ...string) { r.words = append(r.words, words) }

// parts are the words of a cell's command, ready for a shell.
func (r *rerun) parts(c *probe.Cell) []string {
	var parts []string
	for _, words := range r.words {
		parts = append(parts, shellLine(words))
	}
	for _, fault := range c.Route {
		parts = append(parts, shellLine([]string{"--fault", fault}))
	}
	return append(parts, shellLine([]string{"--fault", c.Spec}))
}

// line is the command of a cell on one line.
func (r *rerun) line(c *probe.Cell) string { return strings.Join(r.parts(c), " ") }

// shellLine quotes words for a shell, those that need it.
func shellLine(words []string) string {
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

// breakCommand lays a command out for a page of some width. A line that goes on ends as
// a shell wants it, so that it can be copied as it stands.
func breakCommand(parts []string, margin string, width int) string {
	const more = ` \`
	var b strings.Builder
	line := margin + clean(parts[0])
	for _, part := range parts[1:] {
		part = clean(part)
		if cells(line)+1+cells(part)+len(more) > width {
			b.WriteString(line + more + "\n")
			line = margin + "  " + part
			continue
		}
		line += " " + part
	}
	return b.String() + line + "\n"
}

// resumption is the command that goes on with a probe that was interrupted.
func (p *probing) resumption() string { return resumption(p.command, p.words) }

// resumption is a command as it was given, with its words, less --anew.
func resumption(c *cobra.Command, given []string) string {
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
	return cleanLine(shellLine(words))
}

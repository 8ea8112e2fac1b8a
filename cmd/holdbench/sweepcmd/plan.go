package sweepcmd

import (
	"bufio"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/sim"
	"holdbench/sim/sweep"
)

// plan makes a plan of the flags.
func (f *sweepFlags) plan(c *cobra.Command, ready *sim.Case, reference string) (*sweep.Plan, error) {
	p := &sweep.Plan{
		Case: ready, Runs: f.runs, Seed: ready.Seed, Until: f.until, Confidence: f.confidence, Exact: f.exact,
		Rare: sim.Class(f.rare), Windows: f.windows, Dwells: f.dwells,
	}
	part, err := f.keep.Part(c)
	if err != nil {
		return nil, err
	}
	p.Part, p.Parts = part.Number, part.Of
	if f.grid {
		f.around(p)
	}
	for _, w := range p.Windows {
		if !(w > 0 && w <= 180) {
			return nil, command.WrongUse(c, "--windows has %g; must be above 0 and at most 180 degrees", w)
		}
	}
	if err := f.readSpreads(c, p); err != nil {
		return nil, err
	}
	p.Command = f.again(p, reference)
	if err := p.Check(); err != nil {
		return nil, command.WrongUse(c, "%w", err)
	}
	return p, nil
}

// around fills in windows and dwells around the rig's own where none are given.
func (f *sweepFlags) around(p *sweep.Plan) {
	data := &p.Case.Rig.Judge
	if len(p.Windows) == 0 {
		for _, by := range []float64{0.02, 0.1, 0.5, 1, 2, 10} {
			p.Windows = append(p.Windows, by*data.WindowDeg)
		}
	}
	if len(p.Dwells) == 0 {
		for _, by := range []float64{0.1, 0.25, 0.5, 1, 2} {
			p.Dwells = append(p.Dwells, time.Duration(by*float64(data.Dwell)).Round(time.Millisecond))
		}
	}
}

// The words that remove an assumed spread, or all of them.
const (
	fixedSpread = "fixed"
	noSpreads   = "none"
)

// readSpreads takes the spreads of the file and of the flags, and assumes those of the other
// keys.
func (f *sweepFlags) readSpreads(c *cobra.Command, p *sweep.Plan) error {
	lines, err := readSpreadFile(f.spreadsFile)
	if err != nil {
		return err
	}
	for _, text := range f.spreads {
		lines = append(lines, spreadLine{text: text, where: "--spread"})
	}
	given := map[string]bool{}
	assumes := true
	for _, l := range lines {
		key, value, _ := strings.Cut(l.text, "=")
		if strings.TrimSpace(l.text) == noSpreads {
			assumes = false
			continue
		}
		given[strings.TrimSpace(key)] = true
		if strings.TrimSpace(value) == fixedSpread && isAssumed(strings.TrimSpace(key)) {
			continue
		}
		s, err := sweep.ParseSpread(p.Case, l.text)
		if err != nil {
			return command.WrongUse(c, "%s: %w", l.where, err)
		}
		p.Spreads = append(p.Spreads, s)
	}
	if !assumes {
		return nil
	}
	return assume(p, given)
}

func isAssumed(key string) bool {
	return slices.ContainsFunc(sweep.Assumed(), func(text string) bool { return strings.HasPrefix(text, key+"=") })
}

// assume adds the assumed spreads of keys that are not given.
func assume(p *sweep.Plan, given map[string]bool) error {
	assumed, err := sweep.AssumedFor(p.Case)
	if err != nil {
		return err
	}
	for _, s := range assumed {
		if given[s.Key] || slices.ContainsFunc(p.Spreads, s.Overlaps) || s.SetByFault(p.Case) {
			continue
		}
		p.Spreads = append(p.Spreads, s)
		p.AssumedKeys = append(p.AssumedKeys, s.Key)
	}
	return nil
}

// spreadLine is a spread as written, and where.
type spreadLine struct{ text, where string }

// readSpreadFile reads one spread a line.
func readSpreadFile(path string) ([]spreadLine, error) {
	if path == "" {
		return nil, nil
	}
	file, err := files.Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { _ = file.Close() }() // only read
	var lines []spreadLine
	in := bufio.NewScanner(file)
	for n := 1; in.Scan(); n++ {
		text, _, _ := strings.Cut(in.Text(), "#")
		if text = strings.TrimSpace(text); text != "" {
			lines = append(lines, spreadLine{text, fmt.Sprintf("%s:%d", path, n)})
		}
	}
	if err := in.Err(); err != nil {
		return nil, files.CannotRead(path, err)
	}
	return lines, nil
}

// again is the command of one run, without its seed and what it draws.
func (f *sweepFlags) again(p *sweep.Plan, reference string) []string {
	overrides := f.overrides
	overrides.Seed = 0
	overrides.Set = slices.DeleteFunc(slices.Clone(f.overrides.Set), func(text string) bool {
		key, _, _ := strings.Cut(text, "=")
		key = strings.TrimSpace(key)
		return slices.Contains(p.Columns(), key) || slices.Contains(p.Columns(), strings.TrimPrefix(key, "rig."))
	})
	var parts []string
	for _, words := range command.NewRerun(reference, &overrides).Words {
		parts = append(parts, command.ShellLine(words))
	}
	return parts
}

// paths are the files that are wanted, empty those that are not.
func (f *sweepOutputs) paths() []string { return []string{f.table, f.plot, f.plotAlarms} }

// onStdout is whether a file goes to standard output.
func (f *sweepOutputs) onStdout() bool { return slices.ContainsFunc(f.paths(), files.IsStdout) }

// validate refuses outputs that cannot be written.
func (f *sweepOutputs) validate(c *cobra.Command) error {
	for _, one := range []struct {
		flag, path string
		endings    []string
	}{{"table", f.table, []string{".csv", ".parquet"}}, {"plot", f.plot, []string{".svg", ".png"}}, {"plot-alarms", f.plotAlarms, []string{".svg", ".png"}}} {
		if c.Flags().Changed(one.flag) && one.path == "" {
			return command.WrongUse(c, "--%s is empty; must be a file", one.flag)
		}
		ending := strings.ToLower(filepath.Ext(one.path))
		if one.path != "" && !files.IsDevice(one.path) && !slices.Contains(one.endings, ending) {
			return command.WrongUse(c, "--%s is %q, which ends in %q; must end in %s", one.flag, one.path, ending, strings.Join(one.endings, " or "))
		}
	}
	uses := 0
	for _, is := range []bool{f.json, f.onStdout()} {
		if is {
			uses++
		}
	}
	for i, path := range f.paths() {
		if i > 0 && files.IsStdout(path) && slices.ContainsFunc(f.paths()[:i], files.IsStdout) {
			uses++
		}
	}
	if uses > 1 {
		return command.WrongUse(c, "only one of --json, --table -, --plot - and --plot-alarms - can use standard output")
	}
	return nil
}

func (f *sweepFlags) validate(c *cobra.Command) error {
	if err := f.keep.Check(c); err != nil {
		return err
	}
	switch {
	case c.Flags().Changed("until") && f.until <= 0:
		return command.WrongUse(c, "--until is %g; must be above 0 and below 0.5", f.until)
	case c.Flags().Changed("rare") && f.rare == "":
		return command.WrongUse(c, "--rare is empty; must be %s or %s", sim.Missed, sim.FalseAlarm)
	case f.rare != "" && f.out.plot != "":
		return command.WrongUse(c, "--plot draws a curve or a map, and --rare has neither; must be one of them")
	case f.out.plotAlarms != "" && !f.grid && len(f.windows) == 0:
		return command.WrongUse(c, "--plot-alarms draws a map; give --map as well")
	}
	return f.out.validate(c)
}

// completeSpreads offers the keys of spreads.
func completeSpreads(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
	keys, directive := command.CompleteSettings(c, args, word)
	for _, key := range []string{sweep.CapacityKey, sweep.Capacity2Key, sweep.FrictionKey} {
		keys = append(keys, key+"=")
	}
	return keys, directive
}

package command

import (
	"strings"

	"github.com/spf13/cobra"

	"holdbench/scenarios"
)

// OverrideFlags put other values in place of a scenario's own.
type OverrideFlags struct {
	Set           []string
	Rig, Sequence string
	Seed          uint64
}

// Add adds the flags to a command.
func (f *OverrideFlags) Add(c *cobra.Command) {
	flags := c.Flags()
	flags.StringArrayVar(&f.Set, "set", nil, "set a value, `KEY=VALUE` as judge.dwell=2s")
	flags.StringVar(&f.Rig, "rig", "", "another rig, `NAME or FILE`")
	flags.StringVar(&f.Sequence, "sequence", "", "another sequence, `NAME or FILE`")
	flags.Uint64Var(&f.Seed, "seed", 0, "`seed` of the sensor noise, from 1")
	Complete(c, "set", CompleteSettings)
	Complete(c, "rig", CompleteNames(scenarios.RigKind))
	Complete(c, "sequence", CompleteNames(scenarios.SequenceKind))
}

// Read turns the flags into overrides.
func (f *OverrideFlags) Read(c *cobra.Command) (scenarios.Overrides, error) {
	o := scenarios.Overrides{Rig: f.Rig, Sequence: f.Sequence, Seed: f.Seed, Set: map[string]string{}}
	if c.Flags().Changed("seed") && f.Seed == 0 {
		return o, WrongUse(c, "--seed is 0; must be at least 1")
	}
	for _, name := range []string{"rig", "sequence"} {
		if flag := c.Flags().Lookup(name); flag != nil && flag.Changed && flag.Value.String() == "" {
			return o, WrongUse(c, "--%s is empty; must be a built-in name or a file", name)
		}
	}
	for _, text := range f.Set {
		key, value, ok := strings.Cut(text, "=")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		if !ok || key == "" {
			return o, WrongUse(c, "--set is %q; must be KEY=VALUE such as rig.load.mass_kg=210", text)
		}
		if _, twice := o.Set[key]; twice {
			return o, WrongUse(c, "--set gives %s twice; must be once", key)
		}
		o.Set[key] = value
	}
	return o, nil
}

// Demo is the default scenario.
const Demo = "healthy-down-and-up"

// Given is whether any of the flags is on the command line.
func (f *OverrideFlags) Given(c *cobra.Command) bool {
	for _, name := range []string{"set", "rig", "sequence", "seed"} {
		if c.Flags().Changed(name) {
			return true
		}
	}
	return false
}

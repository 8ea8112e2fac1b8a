package main

import (
	"strings"

	"github.com/spf13/cobra"

	"holdbench/scenarios"
)

// overrideFlags put other values in place of a scenario's own.
type overrideFlags struct {
	set           []string
	rig, sequence string
	seed          uint64
}

func (f *overrideFlags) add(c *cobra.Command) {
	flags := c.Flags()
	flags.StringArrayVar(&f.set, "set", nil, "a value by `KEY=VALUE`, as judge.dwell=2s")
	flags.StringVar(&f.rig, "rig", "", "another rig, `NAME or FILE`")
	flags.StringVar(&f.sequence, "sequence", "", "another sequence, `NAME or FILE`")
	flags.Uint64Var(&f.seed, "seed", 0, "another `seed` of the sensors' noise, from 1")
	complete(c, "set", completeSettings)
	complete(c, "rig", completeNames(scenarios.RigKind))
	complete(c, "sequence", completeNames(scenarios.SequenceKind))
}

// read turns the flags into overrides.
func (f *overrideFlags) read(c *cobra.Command) (scenarios.Overrides, error) {
	o := scenarios.Overrides{Rig: f.rig, Sequence: f.sequence, Seed: f.seed, Set: map[string]string{}}
	if c.Flags().Changed("seed") && f.seed == 0 {
		return o, usage(c, "--seed is 0; must be at least 1")
	}
	for _, name := range []string{"rig", "sequence"} {
		if flag := c.Flags().Lookup(name); flag != nil && flag.Changed && flag.Value.String() == "" {
			return o, usage(c, "--%s is empty; must be a built-in name or a file", name)
		}
	}
	for _, text := range f.set {
		key, value, ok := strings.Cut(text, "=")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		if !ok || key == "" {
			return o, usage(c, "--set is %q; must be KEY=VALUE such as rig.load.mass_kg=210", text)
		}
		if _, twice := o.Set[key]; twice {
			return o, usage(c, "--set gives %s twice; must be once", key)
		}
		o.Set[key] = value
	}
	return o, nil
}

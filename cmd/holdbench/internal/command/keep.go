package command

import (
	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/sim/journal"
)

// KeepFlags keep what a command finishes in a file, so that it can be continued, all of it or a part for holdbench merge.
type KeepFlags struct {
	File string // of --keep, empty without it
	Anew bool   // what it has is discarded

	shard string
}

// Add adds the flags to a command, which keeps runs, cells or histories.
func (f *KeepFlags) Add(c *cobra.Command, what string) {
	c.Flags().StringVar(&f.File, "keep", "", "keep "+what+" in `FILE`, to continue or to merge")
	c.Flags().BoolVar(&f.Anew, "anew", false, "discard what --keep has kept")
	c.Flags().StringVar(&f.shard, "shard", "", "only part `I/N` of the "+what+"; env: from Slurm")
	Complete(c, "shard", cobra.FixedCompletions([]cobra.Completion{shardFromArray}, cobra.ShellCompDirectiveNoFileComp))
}

// OfPart is whether --shard was given.
func (f *KeepFlags) OfPart() bool { return f.shard != "" }

// Part is the part of --shard, the whole without it.
func (f *KeepFlags) Part(c *cobra.Command) (journal.Part, error) {
	part, err := readShard(f.shard)
	if err != nil {
		err = WrongUse(c, "--shard %w", err)
	}
	return part, err
}

// Check refuses flags that mean nothing without a file of --keep, and a file that cannot be one.
func (f *KeepFlags) Check(c *cobra.Command) error {
	if err := CheckKept(c, f.File); err != nil {
		return err
	}
	switch {
	case f.Anew && f.File == "":
		return WrongUse(c, "--anew discards what --keep has kept; give --keep FILE as well")
	case f.OfPart() && f.File == "":
		return WrongUse(c, "--shard is a part for holdbench merge; give --keep FILE as well")
	}
	return nil
}

// CheckKept refuses a path of --keep that cannot be read again.
func CheckKept(c *cobra.Command, path string) error {
	switch {
	case c.Flags().Changed("keep") && path == "":
		return WrongUse(c, "--keep is empty; must be a file")
	case path != "" && files.IsDevice(path):
		return WrongUse(c, "--keep is %s, which cannot be read again; must be a file", path)
	}
	return nil
}

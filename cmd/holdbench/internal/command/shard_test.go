package command

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim/journal"
)

func TestReadShard(t *testing.T) {
	for text, want := range map[string]journal.Part{"": {Number: 1, Of: 1}, "1/4": {Number: 1, Of: 4}, "10000/10000": {Number: 10000, Of: 10000}} {
		got, err := readShard(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"0/4", "5/4", "1", "/", "a/b", "1/4/2", "-1/4", "ENV", "1/0"} {
		_, err := readShard(text)
		require.ErrorContains(t, err, "must be a part and their number, such as 1/4, or env in the task of an array", text)
	}
	_, err := readShard("1/10001")
	require.EqualError(t, err, `is "1/10001"; must be at most 10000 parts`)
}

// The tasks of an array are its parts, whatever its first number and its step (sbatch, --array: "0-15", "1-16",
// "0-30:2"); an array that leaves open which part a task does is refused.
func TestTheTaskOfAnArrayIsAPart(t *testing.T) {
	for name, c := range map[string]struct {
		task, count, lowest, highest, step string
		part                               int
		want                               string
	}{
		"FromZero":   {"0", "16", "0", "15", "1", 1, ""},
		"Last":       {"15", "16", "0", "15", "1", 16, ""},
		"FromOne":    {"3", "16", "1", "16", "1", 3, ""},
		"Steps":      {"6", "16", "0", "30", "2", 4, ""},
		"Single":     {"7", "1", "7", "7", "1", 1, ""},
		"NoStep":     {"3", "4", "1", "4", "", 3, ""},
		"NoMaximum":  {"3", "4", "1", "", "", 3, ""},
		"List":       {"4", "3", "1", "5", "1", 0, "is env, and the task is 4 of 3 from 1 to 5; must be one of"},
		"Outside":    {"5", "4", "1", "4", "1", 0, "the task is 5 of 4 from 1 to 4"},
		"Between":    {"3", "2", "2", "4", "2", 0, "the task is 3 of 2 from 2 to 4"},
		"NoTask":     {"", "4", "1", "4", "1", 0, "is env, and SLURM_ARRAY_TASK_ID is not set; must be run in a task of a Slurm array, or be I/N"},
		"NoCount":    {"1", "", "1", "4", "1", 0, "SLURM_ARRAY_TASK_COUNT is not set"},
		"NoNumber":   {"x", "4", "1", "4", "1", 0, `is env, and SLURM_ARRAY_TASK_ID is "x"; must be a whole number`},
		"StepOfZero": {"1", "4", "1", "4", "0", 0, "in equal steps"},
		"TooMany":    {"1", "20000", "1", "20000", "1", 0, "at most 10000 tasks"},
	} {
		t.Run(name, func(t *testing.T) {
			set := map[string]string{"ID": c.task, "COUNT": c.count, "MIN": c.lowest, "MAX": c.highest, "STEP": c.step}
			got, err := arrayTask(func(name string) (string, bool) {
				text := set[name[len("SLURM_ARRAY_TASK_"):]]
				return text, text != ""
			})
			if c.want != "" {
				require.ErrorContains(t, err, c.want)
				return
			}
			require.NoError(t, err)
			assert.Equal(t, c.part, got.Number)
		})
	}
}

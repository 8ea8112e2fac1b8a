package command

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"

	"holdbench/sim/journal"
)

// shardFromArray is the word of --shard for the task of an array of a batch system.
const shardFromArray = "env"

// readShard reads I/N, or takes both from the variables of a Slurm array; without a text it is the whole.
func readShard(text string) (journal.Part, error) {
	switch text {
	case "":
		return journal.Part{Number: 1, Of: 1}, nil
	case shardFromArray:
		return arrayTask(os.LookupEnv)
	}
	one, all, _ := strings.Cut(text, "/")
	number, err1 := strconv.Atoi(one)
	of, err2 := strconv.Atoi(all)
	p := journal.Part{Number: number, Of: of}
	if err := errors.Join(err1, err2); err != nil || number < 1 || number > of {
		return p, fmt.Errorf("is %q; must be a part and their number, such as 1/4, or env in the task of an array", text)
	}
	if !p.Sound() {
		return p, fmt.Errorf("is %q; must be at most %d parts", text, journal.MostParts)
	}
	return p, nil
}

// arrayTask is the part that a task of a Slurm array does. The numbers of its tasks must be all from the lowest to
// the highest, in equal steps: a list such as 1,4,5 does not say what part a task is.
func arrayTask(lookup func(string) (string, bool)) (journal.Part, error) {
	var found []error
	number := func(name, otherwise string) int {
		name = "SLURM_ARRAY_TASK_" + name
		text, there := lookup(name)
		if !there {
			text = otherwise
		}
		n, err := strconv.Atoi(text)
		switch {
		case !there && otherwise == "":
			found = append(found, fmt.Errorf("is env, and %s is not set; must be run in a task of a Slurm array, or be I/N", name))
		case err != nil || n < 0:
			found = append(found, fmt.Errorf("is env, and %s is %q; must be a whole number", name, text))
		}
		return n
	}
	task, count, lowest, step := number("ID", ""), number("COUNT", ""), number("MIN", ""), number("STEP", "1")
	highest := number("MAX", strconv.Itoa(lowest+(count-1)*step))
	if err := errors.Join(found...); err != nil {
		return journal.Part{}, err
	}
	p := journal.Part{Of: count}
	whole := step >= 1 && highest-lowest == (count-1)*step && (task-lowest)%max(1, step) == 0
	if whole {
		p.Number = (task-lowest)/step + 1
	}
	if !whole || !p.Sound() {
		return p, fmt.Errorf("is env, and the task is %d of %d from %d to %d; must be one of at most %d tasks in equal steps, with all of them in the array: to repeat some, give I/N", task, count, lowest, highest, journal.MostParts)
	}
	return p, nil
}

package files

import (
	"errors"
	"io"
)

// Output is a file that is wanted of what a command finds out; one without a path is not.
type Output[T any] struct {
	Path  string
	Write func(io.Writer, T) error
}

// Outputs are the files that are written when a command is done.
type Outputs[T any] []openOutput[T]

type openOutput[T any] struct {
	to    *Target
	write func(io.Writer, T) error
}

// OpenOutputs opens every file before anything runs, so that one that cannot be used is found
// early.
func OpenOutputs[T any](stdout io.Writer, wanted ...Output[T]) (Outputs[T], error) {
	var opened Outputs[T]
	for _, w := range wanted {
		if w.Path == "" {
			continue
		}
		to, err := Create(w.Path, stdout)
		if err != nil {
			opened.Abandon()
			return nil, err
		}
		opened = append(opened, openOutput[T]{to, w.Write})
	}
	return opened, nil
}

// Abandon leaves the files as they were.
func (o Outputs[T]) Abandon() {
	for _, f := range o {
		f.to.Abandon()
	}
}

// Write writes what was found and puts the files in their places.
func (o Outputs[T]) Write(found T) error {
	var errs []error
	for _, f := range o {
		if err := f.write(f.to, found); err != nil {
			f.to.Abandon()
			errs = append(errs, CannotWrite(f.to.Path, err))
			continue
		}
		errs = append(errs, f.to.Close())
	}
	return errors.Join(errs...)
}

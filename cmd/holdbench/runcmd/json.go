package runcmd

// JSON is what run --json prints, for its schema.
func JSON() any { return Record{} }

package main

import (
	"boutwise/pipeline"
	"boutwise/pipeline/review"
)

// standing is what the summary shows: what the run did, and where the practice
// stands after it, with the clients who need the coach first.
type standing struct {
	pipeline.Summary
	read bool // the inbox was looked at
}

func standingOf(sum pipeline.Summary, read bool) standing {
	sum.Clients = review.ByAttention(sum.Clients, sum.AsOf)
	return standing{sum, read}
}

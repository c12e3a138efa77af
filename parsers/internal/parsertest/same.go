package parsertest

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// Same compares with NaN equal to NaN and numbers to a nanounit.
func Same(t *testing.T, what string, got, want any) {
	t.Helper()
	if diff := cmp.Diff(want, got, cmpopts.EquateNaNs(), cmpopts.EquateApprox(0, 1e-9)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", what, diff)
	}
}

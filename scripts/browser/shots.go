package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/chromedp/chromedp"
)

// takeShots leaves pictures of the morning page, of a session and of its
// client, on every screen and as a PDF.
func takeShots(t *tab, s *site, session, folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	type subject struct{ name, page string }
	subjects := []subject{{"index", "index.html"}}
	if parts := strings.Split(session, "/"); len(parts) == 3 {
		subjects = append(subjects, subject{"client", "clients/" + parts[1] + ".html"}, subject{"session", session})
	}
	for _, p := range subjects {
		for _, screen := range []screen{wide, wideDark, narrow} {
			if err := t.show(screen); err != nil {
				return err
			}
			if err := t.open(s.address(p.page)); err != nil {
				return err
			}
			picture, err := chromedp.Run(t.ctx, chromedp.FullScreenshot(100))
			if err != nil {
				return fmt.Errorf("picture of %s: %w", p.page, err)
			}
			if err := os.WriteFile(filepath.Join(folder, p.name+"-"+screen.name+".png"), picture, 0o644); err != nil {
				return err
			}
		}
		if err := t.show(paper); err != nil {
			return err
		}
		printed, err := chromedp.Run(t.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize()))
		if err != nil {
			return fmt.Errorf("print of %s: %w", p.page, err)
		}
		if err := os.WriteFile(filepath.Join(folder, p.name+"-paper.pdf"), printed, 0o644); err != nil {
			return err
		}
	}
	return nil
}

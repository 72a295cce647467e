package page

import (
	"encoding/json"
	"strings"

	"github.com/chromedp/chromedp"
)

// These actions ask the page's own script for an element each time, so that one which the page draws anew between
// looking and acting is not waited for in vain.

// at is JavaScript for the first element that a CSS selector, or an XPath from // on, finds.
func at(selector string) string {
	quoted, _ := json.Marshal(selector)
	if strings.HasPrefix(selector, "//") {
		return `document.evaluate(` + string(quoted) + `, document, null, XPathResult.FIRST_ORDERED_NODE_TYPE, null).singleNodeValue`
	}
	return `document.querySelector(` + string(quoted) + `)`
}

// when does something with an element as soon as it can be seen.
func when(selector, does string) chromedp.Action {
	return chromedp.Poll(`(e => { if (!e || !e.checkVisibility()) return false; `+does+`; return true })(`+at(selector)+`)`, nil)
}

func visible(selector string) chromedp.Action { return when(selector, "") }

func click(selector string) chromedp.Action {
	return when(selector, "if (e.disabled) return false; e.click()")
}

func gone(selector string) chromedp.Action { return chromedp.Poll(`!`+at(selector), nil) }

func textOf(selector string, into *string) chromedp.Action {
	return chromedp.Tasks{visible(selector), chromedp.Evaluate(at(selector)+`.innerText`, into)}
}

func setValue(selector, value string) chromedp.Action {
	quoted, _ := json.Marshal(value)
	return when(selector, "e.value = "+string(quoted))
}

func sendKeys(selector, keys string) chromedp.Action {
	return chromedp.Tasks{when(selector, "e.focus()"), chromedp.KeyEvent(keys)}
}

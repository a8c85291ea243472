"""Makes up the demo's six weeks: an invented bar and its market cart, told entry by entry as phones would send them."""

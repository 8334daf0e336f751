"""The stitches replayed, and the fabric drawn and told from them."""

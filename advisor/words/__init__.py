"""Words: facts and quantities become sentences, pictures and tickets."""

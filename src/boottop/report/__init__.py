"""What a person looks at: the self-contained page and its drawings. An edge: reads every stage, no stage reads it."""

"""What people read: pages made of blocks (`blocks`), each written as text, Markdown, HTML or PDF alike."""

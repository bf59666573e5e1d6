"""What the pages say besides what stands in their templates."""

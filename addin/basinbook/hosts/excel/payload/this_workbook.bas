Option Explicit
Private WithEvents Program As Application

Private Sub Workbook_Open()
    Dim Book As Workbook
    Set Program = Application
    For Each Book In Application.Workbooks
        Bind Book
    Next
End Sub

Private Sub Program_WorkbookOpen(ByVal Wb As Workbook)
    Bind Wb
End Sub
